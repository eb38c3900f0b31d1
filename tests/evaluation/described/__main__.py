"""`python -m tests.evaluation.described`: totals on the sealed published descriptions.

With `score` the cases written blind, with `score-published` the published ones found later, with `score-further` those
found last are scored and the counts kept, once a version.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path

from tests.evaluation.described import blind
from tests.evaluation.described.described import LAYERS, Row, answered, commonest, priors, rows, service, within
from tests.evaluation.described.totals import FILE, FURTHER, LATER, Release, read, write
from tests.evaluation.kept import DECIDES
from witnessmark import __version__, data
from witnessmark.diagnosis.evaluation.tables import table

TEACHING = {f"pub-{k:03}" for k in (27, 28, 29, 30, 31, 35, 36)}
"""Made-up ones; the others are real, as far as their sources say."""
KNOWN = {"pub-001", "pub-007", "pub-009", "pub-030", "pub-032"}
"""Their sources were behind published cases of the development set, so the knowledge had seen them."""
WHO = {service: "the answer", priors: "the priors alone", commonest: "always the commonest of the set"}


def totals() -> str:
    """How often the named mode or cause stands first and among three, and the verdicts."""
    unseen = [row for row in rows() if row["id"] not in KNOWN]
    real = [row for row in unseen if row["id"] not in TEACHING]
    found = [
        (words, layer, *(str(within(who, layer, places, of)) for of in (None, unseen, real) for places in (1, 3)))
        for who, words in WHO.items()
        for layer in LAYERS
    ]
    groups = ("all", "unseen", "unseen and real")
    head = ("who", "layer", *(f"{group}: {place}" for group in groups for place in ("first", "among three")))
    verdicts = Counter((bool(row["no_fault"]), answered(row)["verdict"]["state"]) for row in rows())
    told = [
        ("no compressor fault" if sound else "a compressor fault", state, f"{n}")
        for (sound, state), n in sorted(verdicts.items())
    ]
    return f"{table(head, found)}\n\n{table(('source says', 'verdict', 'cases'), told)}"


def scored(of: Sequence[Row], parts: Mapping[str, Callable[[Row], bool]], told_apart: Sequence[str]) -> Release:
    """Sealed cases, scored by groups, some of them a second time without those that give the answer away."""
    groups = {name: [row for row in of if chosen(row)] for name, chosen in parts.items()}
    return Release(
        version=__version__,
        knowledge=data.version(),
        decides=data.version(DECIDES),
        day=datetime.now(UTC).date(),
        cases={name: len(group) for name, group in groups.items()},
        hits=(
            *(hits for name, group in groups.items() for hits in blind.hits(group, name)),
            *(hits for name in told_apart for hits in blind.hits(groups[name], name, hidden=True)),
        ),
        told=tuple(blind.told(groups["all"])),
        rates=tuple(blind.rates(group, name) for name, group in groups.items()),
    )


def score(
    sealed: tuple[str, str], file: Path, parts: Mapping[str, Callable[[Row], bool]], told_apart: Sequence[str]
) -> None:
    """Score a sealed set for this version, once, and keep the counts."""
    found = blind.rows(*sealed)
    write(read(file).with_new(__version__, lambda: scored(found, parts, told_apart)), file)


SETS = {
    "score": (blind.SEALED, FILE, blind.GROUPS, blind.TOLD_APART),
    "score-published": (blind.LATER, LATER, blind.LATER_GROUPS, ("all",)),
    "score-further": (blind.FURTHER, FURTHER, blind.LATER_GROUPS, ("all",)),
}
"""By what is asked for: the sealed set, the file of its counts, its groups, and those counted twice."""


if __name__ == "__main__":
    if asked := SETS.get(" ".join(sys.argv[1:])):
        score(*asked)
    else:
        sys.stdout.write(totals() + "\n")
