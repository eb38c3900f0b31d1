"""From a file of closed jobs to a folder of knowledge."""

from __future__ import annotations

from pathlib import Path

from witnessmark import data
from witnessmark.diagnosis.catalogue.knowledge import load, shipped
from witnessmark.diagnosis.learning.folder import write
from witnessmark.diagnosis.learning.jobs import read
from witnessmark.diagnosis.learning.learn import learn, rules
from witnessmark.diagnosis.learning.page import page
from witnessmark.diagnosis.learning.scoring import in_order_of_time, left_out


def run(jobs_file: Path, out: Path) -> str:
    """Learn, score, write; what to say of it. Raises DataError with file, line and fault; nothing is written then."""
    if out.exists() and any(out.iterdir()):
        raise data.DataError([f"{out}: not empty; name a new folder"])
    knowledge = load(shipped())
    jobs = read(jobs_file.read_text("utf-8").splitlines(), jobs_file.name, knowledge)
    learned = learn(knowledge, jobs)
    enough = len(jobs) >= 2 * rules().least
    scores = {
        "Each part by what the others taught": left_out(knowledge, jobs) if enough else None,
        "The newer half by what the older taught": in_order_of_time(knowledge, jobs) if enough else None,
    }
    write(learned, out, page(learned, knowledge, data.version(), len(jobs), scores))
    load(out)
    told = [found.text for found in scores.values() if found]
    changed = f"{len(learned.changed)} of {len(learned.figures.values)} figures changed"
    refused = f"{len(learned.refused)} left as they were, of too few jobs"
    told_so = ", ".join(told) or "too few jobs to say"
    return f"{changed}, {refused}; against the elicited: {told_so}.\nRead {out / 'README.md'}\n"
