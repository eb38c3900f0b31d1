"""How the machine stands by what was told: what was seen, whether it runs or is opened, on which side it ails."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal

from witnessmark.diagnosis.case import Case
from witnessmark.diagnosis.catalogue.check_book import check_book
from witnessmark.diagnosis.catalogue.rows import RUNS, Finding, Knowledge
from witnessmark.diagnosis.catalogue.triage import triage

Side = Literal["electrical", "circuit"]
SIDES: frozenset[Side] = frozenset({"electrical", "circuit"})
_ELECTRICAL = frozenset({"electrical", "winding", "drive"})
_GROUPS = _ELECTRICAL | {"running", "circuit", "oil"}
_BY_LINE = {
    "suction_temperature": "suction-superheat",
    "discharge_temperature": "discharge-superheat-low",
    "liquid_temperature": "subcooling",
}
"""What a line tells beside a gauge: taken again where the two cannot both be right."""
_OPENED = frozenset({"power-off", "circuit-open", "compressor-removed"})


@dataclass(frozen=True, slots=True)
class Situation:
    """What one request says of the machine.

    told: every finding that was reported or clearly read, with its state. runs: None where nothing says so. by_phone:
    nobody is at the machine who could bring anything about. called_in: likely so, since only what a caller tells was
    told. sides: on which something abnormal was found. can: the
    conditions that hold or can be brought about. needless: findings that nobody looks for any more. follows: what is
    usually looked at next after what was told, with how much of the worth of such a look.
    """

    told: Mapping[str, str]
    runs: bool | None
    opened: bool
    by_phone: bool
    called_in: bool
    sides: frozenset[Side]
    can: frozenset[str]
    needless: frozenset[str]
    follows: Mapping[str, float]

    def elsewhere(self, finding: Finding) -> bool:
        """Whether a finding is on a side of which nothing was found, while something was of the other."""
        return len(self.sides) == 1 and finding.group in _GROUPS and side_of(finding) not in self.sides


def situation(
    knowledge: Knowledge, case: Case, told: Mapping[str, str], looked_into: Collection[str] | None = None
) -> Situation:
    """By what was told. One that nobody calls opened is closed.

    looked_into: what of it was seen in the opened compressor; None takes all that is seen nowhere else.
    """
    within = _seen_nowhere_else(knowledge, told) if looked_into is None else looked_into
    runs, opened, by_phone = _runs(case, told), _opened(case, within), case.conditions == ()
    called_in = by_phone or _called_in(case, told)
    return Situation(
        told=told,
        runs=runs,
        opened=opened,
        by_phone=by_phone,
        called_in=called_in,
        sides=_sides(knowledge, told),
        can=_can(case, runs=runs, opened=opened),
        needless=_needless(told, runs=runs, opened=opened, by_phone=called_in) | _read(case),
        follows=_follows(told, opened=opened),
    )


def _seen_nowhere_else(knowledge: Knowledge, told: Mapping[str, str]) -> list[str]:
    """What is seen in the opened compressor alone.

    What a machine that runs has not (a seized shaft) is told of a closed one as well.
    """
    closed = knowledge.normals[RUNS].means_absent if RUNS in knowledge.normals else ()
    return [key for key in told if knowledge.inside(key) and key not in closed]


def side_of(finding: Finding) -> Side:
    """The side that a finding is on."""
    return "electrical" if finding.group in _ELECTRICAL else "circuit"


def _runs(case: Case, told: Mapping[str, str]) -> bool | None:
    """Whether it runs. What says that it does not prevails: it may have run before."""
    state = check_book().state
    if any(told.get(key) == "present" for key in state.stopped):
        return False
    said = RUNS in (case.conditions or ()) or case.ran or case.told_to_run
    seen = any(key in told for key in triage().running.findings)
    return True if said or seen or any(told.get(key) == "present" for key in state.running) else None


def _called_in(case: Case, told: Mapping[str, str]) -> bool:
    """Whether all that was told is what somebody tells on the phone, and nobody said where he stands."""
    return bool(told) and case.conditions is None and told.keys() <= check_book().phone.told


def _opened(case: Case, within: Collection[str]) -> bool:
    """Whether it stands opened."""
    if case.conditions is not None:
        return "compressor-removed" in case.conditions or ("circuit-open" in case.conditions and bool(within))
    return bool(within) or "teardown" in case.reported_by


def _can(case: Case, *, runs: bool | None, opened: bool) -> frozenset[str]:
    """What holds or can be brought about; from the reports where the caller did not say."""
    if case.conditions == ():
        return frozenset({RUNS} if runs else ())
    if case.conditions is not None:
        return frozenset({*case.conditions, *(("compressor-removed",) if opened else ())})
    if opened:
        return _OPENED
    return frozenset({"power-off", "circuit-open"} | (set() if runs is False else {RUNS}))


def _sides(knowledge: Knowledge, told: Mapping[str, str]) -> frozenset[Side]:
    either, found = check_book().order.either, set[Side]()
    for key, state in told.items():
        finding = knowledge.findings.get(key)
        if finding and finding.group in _GROUPS and state != finding.healthy:
            found |= SIDES if key in either else {side_of(finding)}
    return frozenset(found)


def _needless(told: Mapping[str, str], *, runs: bool | None, opened: bool, by_phone: bool) -> frozenset[str]:
    """What is known by other findings, or senseless at a machine that runs, that stands opened, or on the phone."""
    book = check_book()
    skip = [row.skip for row in book.known if any(told.get(key) == state for key, state in row.by.items())]
    skip += [book.state.senseless_running] if runs else []
    skip += [book.opened.skip] if opened else []
    skip += [book.phone.skip] if by_phone else []
    return frozenset().union(*skip)


def _read(case: Case) -> frozenset[str]:
    """What would only take a reading again that was taken and is not in doubt."""
    return told_by(set(case.read)) - doubted(case)


def doubted(case: Case) -> frozenset[str]:
    """What the readings in doubt were to tell: to be taken again."""
    fields = {name for doubt in case.doubts for name in doubt.readings}
    return told_by(fields) | {key for name, key in _BY_LINE.items() if name in fields}


def told_by(fields: Collection[str]) -> frozenset[str]:
    """The findings that readings of these names tell of."""
    return frozenset().union(*(row.skip for row in check_book().read if row.field in fields))


def _follows(told: Mapping[str, str], *, opened: bool) -> Mapping[str, float]:
    """By the rows that fit, the first in full; each row in its order."""
    order, found = check_book().order, dict[str, float]()
    fitting = [row for row in check_book().follow if row.fits(told, opened=opened)]
    for number, row in enumerate(fitting):
        for place, key in enumerate(key for key in row.next if key not in told):
            found.setdefault(key, order.follow_other**number * order.follow_later**place)
    return found
