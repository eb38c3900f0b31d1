"""A finding is added by four files, done here in a copy of the package as DEVELOPERS.md tells it, and nothing moves."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.contract.changes import breaking

ROOT = Path(__file__).parents[2]
KNOWLEDGE = Path("witnessmark") / "diagnosis" / "knowledge"
LABELLED = ROOT / "tests" / "diagnosis" / "data" / "labelled_notes.toml"
LIKE, NEW, NOTE = "oil-burnt", "oil-chalky", "Drained the oil, it is chalky"
SEEN = """
import json, sys, tomllib
from pathlib import Path
import witnessmark
from witnessmark.api.app import app
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.case import Case, Report
from witnessmark.diagnosis.case_page import GATES
from witnessmark.diagnosis.catalogue.knowledge import knowledge, shipped
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.evaluation.experiments import violations
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.simulation import MACHINES, Scenario, simulate
from witnessmark.diagnosis.inference.network import network
from witnessmark.diagnosis.notes.matching import match
from witnessmark.diagnosis.review.case_set import read_cases, run, score
from witnessmark.diagnosis.review.lint import review

new, labelled, cases = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
known = knowledge()
net = network(known, MACHINES[0])
states = sum(s.states for s in simulate(known, Scenario(sd=1.0, alike=0.5), 50, 1) if s.case.machine == MACHINES[0])
looked = [(), (Report(new, "present"),)] if new in known.findings else [()]
notes = tomllib.loads(labelled.read_text("utf-8"))["note"]
scores = score(run(read_cases(cases), diagnose))
print(json.dumps({
    "from": witnessmark.__file__,
    "findings": list(known.findings),
    "errors": review(shipped()).errors,
    "doubts": review(shipped()).doubts,
    "chances": [inquire(known, Case(MACHINES[0], reports)).probability("general-burnout") for reports in looked],
    "simulated": dict(zip(net.findings, states.tolist())),
    "notes": {n["text"]: sorted((m.finding, m.state) for m in match(n["text"])) for n in notes[-60:]},
    "lost": [field for field, (_, least) in GATES.items() if getattr(scores, field) < least],
    "broken": violations(Pool(known), 10, 1),
    "document": app.openapi(),
}))
"""
"""What a package in which the finding may stand says of itself, by its own code."""


def in_the_middle(text: str) -> str:
    """A row like another one, in the middle of the file."""
    start, *rows = text.split("[[finding]]\n")
    like = next(row for row in rows if row.startswith(f'id = "{LIKE}"'))
    row = like.replace(f'id = "{LIKE}"', f'id = "{NEW}"')
    row = re.sub(r"^text = .*$", 'text = "Oil chalky"', row, flags=re.MULTILINE)
    row = re.sub(r"^trace = .*\n", "", row, flags=re.MULTILINE)
    half = len(rows) // 2
    return "[[finding]]\n".join([start, *rows[:half], row, *rows[half:]])


def linked(text: str) -> str:
    """One link: the mode that is like it brings it about."""
    line = next(line for line in text.splitlines() if '"general-burnout"' in line and f'"{LIKE}"' in line)
    return text.replace(line, f"{line}\n{line.replace(LIKE, NEW)}")


def worded(text: str) -> str:
    """One phrase."""
    return text.replace("[[phrase]]\n", f'[[phrase]]\nfindings = ["{NEW}"]\nwords = ["OIL chalky"]\n\n[[phrase]]\n', 1)


def labelled(text: str) -> str:
    """One note that says it."""
    return f'{text}\n[[note]]\npart = "development"\ntext = "{NOTE}"\nfindings = {{ {NEW} = "present" }}\n'


BY_HAND: dict[Path, Callable[[str], str]] = {
    KNOWLEDGE / "findings.toml": in_the_middle,
    KNOWLEDGE / "links-mode-finding.toml": linked,
    KNOWLEDGE / "phrases.toml": worded,
    Path("labelled_notes.toml"): labelled,
}


def seen(site: Path, notes: Path) -> dict[str, Any]:
    # without coverage, which would take the copied files for the sources
    environment = {key: value for key, value in os.environ.items() if not key.startswith("COVERAGE")}
    environment |= {"PYTHONPATH": str(site), "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-c", SEEN, NEW, str(notes), str(ROOT / "tests" / "diagnosis" / "cases")]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)  # noqa: S603 - this interpreter, our own text
    texts: dict[str, Any] = json.loads(done.stdout)
    return texts


@pytest.fixture(scope="module")
def before() -> dict[str, Any]:
    return seen(ROOT / "service", LABELLED)


@pytest.fixture(scope="module")
def after(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Any]]:
    """The package with the finding in it; the copy is gone afterwards."""
    site = tmp_path_factory.mktemp("grown")
    shutil.copytree(
        ROOT / "service" / "witnessmark", site / "witnessmark", ignore=shutil.ignore_patterns("__pycache__")
    )
    shutil.copy(LABELLED, site)
    for file, edit in BY_HAND.items():
        text = (site / file).read_text("utf-8")
        grown = edit(text)
        assert len(grown) > len(text), file
        (site / file).write_text(grown, "utf-8")
    inquiry_of = seen(site, site / "labelled_notes.toml")
    assert inquiry_of["from"].startswith(str(site))
    yield inquiry_of
    shutil.rmtree(site)


def test_four_files_are_enough(before: dict[str, Any], after: dict[str, Any]) -> None:
    assert len(BY_HAND) == 4
    where = after["findings"].index(NEW)
    assert 0.4 < where / len(after["findings"]) < 0.6
    assert [key for key in after["findings"] if key != NEW] == before["findings"]


def test_the_lint_finds_nothing_new(before: dict[str, Any], after: dict[str, Any]) -> None:
    assert after["errors"] == before["errors"] == []
    assert after["doubts"] == before["doubts"]


def test_it_counts_and_without_it_every_case_is_as_it_was(before: dict[str, Any], after: dict[str, Any]) -> None:
    without, present = after["chances"]
    assert [without] == pytest.approx(before["chances"], abs=1e-12)
    assert present > 2 * without


def test_a_note_that_says_it_is_read_and_the_others_as_before(before: dict[str, Any], after: dict[str, Any]) -> None:
    assert after["notes"].pop(NOTE) == [[NEW, "present"]]
    assert {text: before["notes"][text] for text in after["notes"]} == after["notes"]


def test_the_gates_without_chance_still_hold(before: dict[str, Any], after: dict[str, Any]) -> None:
    assert before["lost"] == after["lost"] == []
    assert before["broken"] == after["broken"] == 0


def test_nothing_simulated_moves(before: dict[str, Any], after: dict[str, Any]) -> None:
    """Sums over cases of the states of every finding, in a scenario that perturbs everything."""
    states = after["simulated"]
    assert states.pop(NEW) > 0
    assert states == before["simulated"]


def test_no_caller_breaks(before: dict[str, Any], after: dict[str, Any]) -> None:
    """Ids are open in requests and answers: the document lists none, so it stays as it is."""
    assert breaking(before["document"], after["document"]) == []
    assert breaking(after["document"], before["document"]) == []
