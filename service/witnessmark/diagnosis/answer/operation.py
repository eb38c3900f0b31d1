"""Whether the machine is stopped, runs on, or nobody can say, until somebody has looked at it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from witnessmark.calculations.metrology.uncertainty import COVERAGE
from witnessmark.diagnosis.answer.extremes import Extreme, evaporating_at
from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.answer.priority import HOT, endangered, spared
from witnessmark.diagnosis.answer.safety import abnormal, borne_out
from witnessmark.diagnosis.answer.wording import seen, told_against
from witnessmark.diagnosis.case import CHILLER, Case
from witnessmark.diagnosis.catalogue.rows import RUNS
from witnessmark.diagnosis.catalogue.triage import signs_of, triage
from witnessmark.diagnosis.evidence.reports import opened
from witnessmark.diagnosis.phrases import lower
from witnessmark.diagnosis.result import Operation, SafetyNotice

EVIDENCE = 5.0
"""Decibans of the findings from which a mode is why one acts: some three to one."""
_IN_DOUBT = "Readings cannot be right together: nobody can say before they are taken again."
_UNPROVED = "A reading proves nothing as it was taken: nobody can say before it is taken again."
_STANDS = "It stands, and nothing told forbids power: find out why before it is started."
_OPENED = {"circuit-open", "compressor-removed"}
_OUT_OF_IT = "It stands opened or out of the circuit: nothing runs before it is closed and proved."
SPARED = "It runs, but each hour may do damage: off if it can be spared."
ICE = "coil-iced"
CLOSE = (
    "Its pressures stand so close that it may hardly pump: say what the condenser takes in and whether it cools, or "
    "read the current against what it should draw."
)
"""Where nothing shows that such a ratio is usual for it."""
COOL = (
    "Its discharge is colder than dry gas leaves it, unless oil or injection cools the gas: say what compressor it is, "
    "before it runs on."
)
RECLOSED = "Its protector opened hot and has closed again: it may run, watched, until what heated it is found."
FAILED = "It is said to have failed, though it runs and nothing that was read shows it: a technician decides."
_RATIO, _LIQUID = frozenset({"compression-ratio", "compression-ratio-low-temperature"}), frozenset({"liquid-fraction"})
_LEAST_SHOWN = 1.8
"""Ratio up to which, within its error, a machine is not known to pump that no thermometer shows to reject its heat: a
sound one in ordinary weather stands at 2 and more, one with leaking valves often at 1.3 to 1.8 (expert estimate)."""
FREEZING = (
    "It evaporates below freezing: say whether it cools water or brine; on water it is off until that is settled."
)
"""Of a chiller of which nobody said at which temperatures it works."""
_FROST = 270.15
"""K, as the row of triage.toml that stops one on water."""
_RUNS_ON = "It runs, and nothing that was found speaks for stopping it."
_ON_ICE = "It runs on an iced coil, which may send liquid back: off at its control until the ice has thawed."


def operation(
    inquiry: Inquiry, fired: Sequence[SafetyNotice], signs: Mapping[str, str], beyond: Sequence[Extreme] = ()
) -> Operation:
    """What the rules, the signs and the leading modes come to; stop outweighs all else.

    signs: abnormal findings with their states, doubtful ones among them. beyond: readings that no machine runs at
    for long.
    """
    stop = _stop_by_reading([one for one in beyond if one.danger]) or _stop_by_rule(inquiry, fired, signs)
    stop = stop or _stop_by_sign(inquiry, signs) or _stop_by_reading(beyond) or _stop_by_mode(inquiry, signs)
    return stop or _go_on(inquiry, signs)


def acted_on(inquiry: Inquiry) -> list[str]:
    """Modes that are likely because of what was found, most probable first."""
    level = inquiry.decisions.verdict.leading
    modes = [inquiry.net.nodes[node] for node in inquiry.modes]
    return [key for key in modes if inquiry.suspected(key) >= level and inquiry.shift(key) >= EVIDENCE]


def _stop_by_rule(inquiry: Inquiry, fired: Sequence[SafetyNotice], signs: Mapping[str, str]) -> Operation | None:
    power = {"energise"} if running(inquiry) else {"energise", "start"}  # what runs is not started
    for notice in fired:
        if power.intersection(notice.forbids):
            return Operation("stop", f"Keep it off: {_why(inquiry, notice.because, signs)}.", notice.because)
    return None


def _why(inquiry: Inquiry, because: Sequence[str], signs: Mapping[str, str]) -> str:
    """The findings that fired a rule, else the mode that they speak for."""
    knowledge = inquiry.knowledge
    unproved = [d for d in inquiry.case.doubts if [d.heard] == [*because] and d.heard not in abnormal(inquiry)]
    if unproved:
        return unproved[0].why
    found = [key for key in because if key in knowledge.findings]
    return seen(knowledge, signs, found[:2]) if found else _how_likely(inquiry, because[0])


def _how_likely(inquiry: Inquiry, mode: str) -> str:
    """The mode with its probability in the fixed scale of words; one that stops a machine is at least possible."""
    word = inquiry.decisions.word(inquiry.probability(mode))
    return f"{lower(inquiry.knowledge.name(mode))} is {'possible' if 'unlikely' in word else word}"


def _stop_by_sign(inquiry: Inquiry, signs: Mapping[str, str]) -> Operation | None:
    for row in signs_of(inquiry.case.fluid):
        because = tuple(key for key, state in signs.items() if row.seen(key, state))
        if row.run == "stop" and because:
            return Operation("stop", f"Keep it off: {row.reason}.", because)
    return None


def _stop_by_reading(beyond: Sequence[Extreme]) -> Operation | None:
    if not beyond:
        return None
    return Operation("stop", f"Keep it off: {beyond[0].reason}.", tuple(one.finding for one in beyond))


def _stop_by_mode(inquiry: Inquiry, signs: Mapping[str, str]) -> Operation | None:
    for key in acted_on(inquiry):
        row = inquiry.knowledge.advice.get(key)
        if row and row.run == "stop" and borne_out(inquiry, key, signs):
            return Operation("stop", f"Keep it off: {_how_likely(inquiry, key)}.", (key,))
    return None


def _go_on(inquiry: Inquiry, signs: Mapping[str, str]) -> Operation:
    """A machine that runs, and that nothing speaks for stopping, runs on; one that may ruin itself does not."""
    rows = (row for row in signs_of(inquiry.case.fluid) if row.stake == "out-of-action")
    broken = [row for row in rows if not spared(inquiry.case, row)]
    out = tuple(key for key, state in signs.items() if any(row.seen(key, state) for row in broken))
    runs = running(inquiry)
    if _stands_open(inquiry):
        return Operation("unknown", _OUT_OF_IT, ())
    if doubted := _to_be_proved(inquiry):
        return doubted
    if inquiry.case.stood or inquiry.situation.runs is False or _switched_off(inquiry):
        return Operation("unknown", _STANDS, ())
    if not runs:
        return Operation("unknown", "Nobody said whether it runs, and nothing told forbids it.", ())
    if out:
        return Operation("unknown", "It runs, but does not do its work: a technician decides.", out)
    return _as_it_runs(inquiry, signs, runs)


def _to_be_proved(inquiry: Inquiry) -> Operation | None:
    """Where readings cannot be right together, prove nothing, or stand against what was told."""
    if inquiry.case.doubts:
        alone = all(len(doubt.readings) == 1 for doubt in inquiry.case.doubts)
        return Operation("unknown", _UNPROVED if alone else _IN_DOUBT, ())
    if against := inquiry.evidence.unproved:
        why = told_against(inquiry.knowledge, inquiry.evidence.states, against[0])
        return Operation("unknown", why, tuple(sorted(inquiry.unproved)))
    return None


def _as_it_runs(inquiry: Inquiry, signs: Mapping[str, str], runs: tuple[str, ...]) -> Operation:
    """One that runs and does its work: not on where damage spreads or where the caller is told to thaw its coil."""
    if worse := endangered(inquiry.knowledge, inquiry.case, signs):
        return Operation("unknown", SPARED, worse)
    for key, why in ((ICE, _ON_ICE), (HOT, RECLOSED)):
        if signs.get(key) == "present":
            return Operation("unknown", why, (key,))
    if any(low <= _LEAST_SHOWN for low in _least(inquiry, _RATIO, COVERAGE)):
        return Operation("unknown", CLOSE, ("no-pressure-difference",))
    if any(low > 0 for low in _least(inquiry, _LIQUID, math.sqrt(3))):
        return Operation("unknown", COOL, ("discharge-superheat-low",))
    return _by_the_case(inquiry.case) or Operation("keep-running", _RUNS_ON, runs)


def _by_the_case(case: Case) -> Operation | None:
    """What is asked before one runs on in which nothing was found: its water, or why it is said to have failed."""
    if _may_freeze(case):
        return Operation("unknown", FREEZING, ("suction-pressure",))
    return Operation("unknown", FAILED, ()) if case.compressor_fate == "known-failed" else None


def _may_freeze(case: Case) -> bool:
    """Whether a chiller evaporates so cold that water would freeze in it, and nobody said that it cools brine."""
    read = dict(case.values).get("suction_pressure")
    if read is None or case.refrigerant is None or CHILLER not in case.circumstances or case.application is not None:
        return False
    return read[0] < evaporating_at(case.refrigerant, _FROST)


def _least(inquiry: Inquiry, quantities: frozenset[str], reach: float) -> Iterator[float]:
    """The least that these numbers may be. reach: in uncertainties; of an interval, a rectangle, the root of 3."""
    for reading in inquiry.case.readings:
        if reading.quantity in quantities:
            yield reading.value - reach * reading.uncertainty


def running(inquiry: Inquiry) -> tuple[str, ...]:
    """What shows that it runs: the condition, the readings, or findings that only a running machine shows.

    Empty where none does, or where it stands opened or without power: what was seen running is then older.
    """
    told = {report.finding: report.implied_by for report in inquiry.checked.reports}
    if _stands_open(inquiry) or _switched_off(inquiry):
        return ()
    seen = [key for key in (*told, *inquiry.evidence.states) if key in triage().running.findings]
    said = inquiry.case.ran or inquiry.case.told_to_run
    if RUNS in told.values() or RUNS in (inquiry.case.conditions or ()) or said:
        seen.insert(0, RUNS)
    return tuple(dict.fromkeys(seen))


def _switched_off(inquiry: Inquiry) -> bool:
    """Whether it stands without power now, whatever was read before."""
    conditions = inquiry.case.conditions or ()
    return "power-off" in conditions and RUNS not in conditions


def _stands_open(inquiry: Inquiry) -> bool:
    """Whether it is opened, or out of the circuit."""
    conditions = set(inquiry.case.conditions or ())
    return bool(_OPENED & conditions) or opened(inquiry.knowledge, inquiry.case, inquiry.checked.reports)
