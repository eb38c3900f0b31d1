"""Runs the diagnosis over a set of described cases and says how well it agrees with them.

The cases are textbook descriptions and constructed ones, so a score is agreement with textbooks, never accuracy in the
field. A file holds `[[case]]` tables: id, kind, origin, source, story, machine, channels, contexts, findings
(id -> state), modes and causes that a master of the trade would name (any of `modes` may lead), not_modes, verdicts,
safety.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from typing import Any

from witnessmark.diagnosis.case import RANKING_ONLY, Case, Machine, Report
from witnessmark.diagnosis.result import Diagnosis

UNLIKELY = 0.2
"""A mode that must not be read into a case has to stay below this."""
BINS = 5
FEW = 3
"""How many names a technician reads."""

_EXPECTED = ("modes", "causes", "not_modes", "verdicts", "safety")


@dataclass(frozen=True, slots=True)
class Described:
    """One described case and what is expected of the answer. An empty expectation asks for nothing."""

    id: str
    kind: str
    origin: str
    source: str
    story: str
    case: Case
    modes: tuple[str, ...] = ()
    causes: tuple[str, ...] = ()
    not_modes: tuple[str, ...] = ()
    verdicts: tuple[str, ...] = ()
    safety: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """A described case with the answer it got."""

    described: Described
    answer: Diagnosis

    @property
    def top(self) -> str:
        """The most probable mode."""
        return self.answer.modes[0].id

    def place(self, wanted: Iterable[str], layer: str = "modes") -> int:
        """Rank (1 is best) of the best placed of the wanted ids in `modes` or `causes`; last where none applies."""
        ids = [h.id for h in getattr(self.answer, layer)]
        return min((ids.index(key) for key in wanted if key in ids), default=len(ids)) + 1

    @property
    def restrained(self) -> bool:
        """Whether a case that must not be diagnosed was not, and ended in one of the states it may end in."""
        allowed = self.described.verdicts
        state = self.answer.verdict.state
        wrong = [m for m in self.answer.modes if m.id in self.described.not_modes and m.probability >= UNLIKELY]
        return state != "diagnosed" and (not allowed or state in allowed) and not wrong

    @property
    def safe(self) -> bool:
        """Whether every safety rule that must fire did."""
        return set(self.described.safety) <= {notice.rule for notice in self.answer.safety}


@dataclass(frozen=True, slots=True)
class Scores:
    """Shares 0..1. brier: mean squared difference between the probability of the leading mode and its being right."""

    cases: int
    top_1: float
    top_3: float
    cause_1: float
    cause_3: float
    both_causes: float
    not_diagnosed: float
    restrained: float
    safety: float
    brier: float
    abstained: float
    right_when_diagnosed: float
    calibration: tuple[tuple[float, float, int], ...]


def read_cases(folder: Traversable) -> tuple[Described, ...]:
    """All cases of a folder, by file name."""
    files = sorted((f for f in folder.iterdir() if f.name.endswith(".toml")), key=lambda f: f.name)
    return tuple(described_case(table) for file in files for table in tomllib.loads(file.read_text("utf-8"))["case"])


def described_case(table: dict[str, Any]) -> Described:
    """One case as a file holds it."""
    case = Case(
        machine=Machine(**table["machine"]),
        findings=tuple(Report(finding, state) for finding, state in table["findings"].items()),
        circumstances=tuple((field, value) for field, value in table["contexts"]),
        reported_by=tuple(table["channels"]),
        want=RANKING_ONLY,
    )
    words: dict[str, Any] = {key: table[key] for key in ("id", "kind", "origin", "source", "story")}
    expected: dict[str, Any] = {
        key: tuple(table[key]) for key in ("modes", "causes", "not_modes", "verdicts", "safety")
    }
    return Described(case=case, **words, **expected)


def run(cases: Iterable[Described], diagnose: Callable[[Case], Diagnosis]) -> tuple[Outcome, ...]:
    """Have every case diagnosed."""
    return tuple(Outcome(described, diagnose(described.case)) for described in cases)


def score(outcomes: Sequence[Outcome]) -> Scores:
    """How far the answers agree with what was expected."""
    named = [o for o in outcomes if o.described.modes]
    caused = [o for o in outcomes if o.described.causes]
    hits = [(o.answer.modes[0].probability, o.top in o.described.modes) for o in named]
    verdicts = [(o.answer.verdict.state == "diagnosed", o.top in o.described.modes) for o in named]
    return Scores(
        cases=len(outcomes),
        top_1=_share(o.place(o.described.modes) == 1 for o in named),
        top_3=_share(o.place(o.described.modes) <= FEW for o in named),
        cause_1=_share(o.place(o.described.causes, "causes") == 1 for o in caused),
        cause_3=_share(o.place(o.described.causes, "causes") <= FEW for o in caused),
        both_causes=_share(_both(o) for o in outcomes if o.described.kind == "two-causes"),
        not_diagnosed=_share(o.answer.verdict.state != "diagnosed" for o in outcomes if _outside(o)),
        restrained=_share(o.restrained for o in outcomes if _outside(o) or o.described.verdicts),
        safety=_share(o.safe for o in outcomes if o.described.safety),
        brier=sum((p - hit) ** 2 for p, hit in hits) / max(len(hits), 1),
        abstained=_share(not diagnosed for diagnosed, _ in verdicts),
        right_when_diagnosed=_share(right for diagnosed, right in verdicts if diagnosed),
        calibration=_calibration(hits),
    )


def _share(values: Iterable[bool]) -> float:
    listed = list(values)
    return sum(listed) / len(listed) if listed else 1.0


def _both(outcome: Outcome) -> bool:
    first = {cause.id for cause in outcome.answer.causes[:4]}
    return set(outcome.described.causes) <= first


def _outside(outcome: Outcome) -> bool:
    return outcome.described.kind == "out-of-scope"


def _calibration(hits: Sequence[tuple[float, bool]]) -> tuple[tuple[float, float, int], ...]:
    """(mean probability, share right, number) in equal bins of the probability; empty bins left out."""
    bins: list[list[tuple[float, bool]]] = [[] for _ in range(BINS)]
    for probability, right in hits:
        bins[min(int(probability * BINS), BINS - 1)].append((probability, right))
    return tuple((sum(p for p, _ in b) / len(b), sum(r for _, r in b) / len(b), len(b)) for b in bins if b)
