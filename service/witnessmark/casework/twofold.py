"""What a case document tells in two ways, or in an order of time that cannot be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from witnessmark.casework.broken import broken
from witnessmark.casework.conclusions import named, shown_by
from witnessmark.casework.document import at
from witnessmark.casework.earlier import RUNS
from witnessmark.casework.moments import in_time, moment, zone_of
from witnessmark.casework.old_oil import told_apart
from witnessmark.casework.orders import OPENED
from witnessmark.casework.repair import REPLACED, ends, kept
from witnessmark.casework.view import merged, old_oil
from witnessmark.errors import InputError
from witnessmark.refrigerants.names import resolve

Result = Mapping[str, Any]
SLACK = timedelta(hours=14)
"""No clock on earth is farther from UTC."""
_MINUTES = timedelta(minutes=10)
"""Two clocks that are both set may differ by so much."""
_LISTS = {
    "notes": "a note",
    "readings": "readings",
    "oil_samples": "an oil sample",
    "refrigerant_samples": "a refrigerant sample",
}
FAILED_OR_KEPT = (
    "The case says that the compressor failed, its words that it runs again or is kept: ask which of the two holds now."
)


@dataclass(frozen=True, slots=True)
class Contradiction:
    """What of the case cannot be right together, and the part that found it."""

    part: str
    text: str


def told_twice(case: Result, done: Mapping[str, Result]) -> Iterator[Contradiction]:
    """The refrigerant by document and note, the phases by machine and test, and moments in an impossible order."""
    yield from _refrigerants(case, done)
    machine, tested = at(case, "machine.phases"), at(case, "tests_of_failure.windings.phases")
    if machine and tested and machine != tested:
        yield Contradiction("windings", f"The machine is {machine}, its windings were tested as {tested}.")
    yield from (Contradiction("cleanup", text) for text in told_apart({**case, "old_oil": old_oil(case)}))
    if case.get("compressor_fate") == "known-failed" and kept(case):
        yield Contradiction("diagnosis", FAILED_OR_KEPT)
    yield from _conditions(case)
    yield from _findings(case)
    if broken(case) and at(case, "signs.debris") is not None and FRAGMENTS not in case["signs"]["debris"]:
        yield Contradiction("cleanup", NO_FRAGMENTS)
    yield from _charges(case)
    yield from _insulation(case)
    yield from _times(case)
    yield from _log(case)


def _log(case: Result) -> Iterator[Contradiction]:
    """Entries of the filter log that stand twice: at one time, or at one figure of the hour meter while gas flowed."""
    site, seen = zone_of(case), dict[tuple[str, object], int]()
    for place, entry in enumerate(at(case, "filter_log.readings") or (), 1):
        marks: list[tuple[str, object]] = [("time", moment(entry["at"], site))] if entry.get("at") else []
        if (meter := entry.get("hour_meter")) is not None and entry.get("flow_share") != 0:
            marks.append(("hour meter", (float(meter["value"]), meter["unit"])))
        for what, mark in marks:
            first = seen.setdefault((what, mark), place)
            if first != place:
                yield Contradiction("filter_log", TWICE.format(first=first, second=place, what=what))
                break


TWICE = (
    "Entries {first} and {second} of the filter log have the same {what}: one was entered twice, or has a wrong "
    "figure. Strike it out or correct it."
)


FRAGMENTS = "metal-fragments"
NO_FRAGMENTS = (
    "The signs name no metal fragments, and yet a part is told to have broken: the plan takes it that fragments are "
    "loose; look again."
)


def _conditions(case: Result) -> Iterator[Contradiction]:
    """Conditions that cannot hold at once; one that runs beside one that is out may be the new one."""
    told = set(case.get("conditions") or ())
    replaced = any(end.kind in REPLACED and end.place is not None for end in ends(case))
    for condition, text in RUNS_AND_YET.items():
        if {RUNS, condition} <= told and not (replaced and condition == OPENED):
            yield Contradiction("diagnosis", text)


RUNS_AND_YET = {
    "power-off": "The case says that the power is off and that the compressor runs: take it as live until somebody has "
    "looked.",
    "circuit-open": "The case says that the circuit is open and that the compressor runs: take it as under pressure "
    "until somebody has looked.",
    OPENED: "The case says that the compressor is out and that it runs: ask which compressor runs.",
}
"""By condition, what to say where a compressor is told to run all the same."""


def _findings(case: Result) -> Iterator[Contradiction]:
    """Findings that are told in two ways, and what the signs show otherwise."""
    told: dict[str, set[str]] = {}
    for report in case.get("findings") or ():
        if report["state"] != "unknown":
            told.setdefault(report["finding"], set()).add(report["state"])
    for finding, states in told.items():
        if len(states) > 1:
            yield Contradiction("diagnosis", f"Told in two ways, look again: {named(finding)}.")
    signs = case.get("signs") or {}
    apart = [finding for finding, state in shown_by(signs).items() if told.get(finding, set()) - {state}]
    burnt = [finding for finding, state in BURNT.items() if state in told.get(finding, ())]
    if signs.get("burn") == "none":
        apart += burnt
    elif signs.get("burn") and "present" in told.get(CLEAN, ()):
        apart.append(CLEAN)
    for finding in dict.fromkeys(apart):
        yield Contradiction("cleanup", f"Signs and findings tell two things, look again: {named(finding)}.")


CLEAN = "windings-clean"
BURNT = {
    CLEAN: "absent",
    "winding-burnt-pattern-unknown": "present",
    "windings-burnt-evenly": "present",
    "windings-one-or-two-phases-burnt": "present",
    "spot-burn-in-winding": "present",
}
"""By finding the state in which it tells of a burn."""


def _charges(case: Result) -> Iterator[Contradiction]:
    """The charge of the machine and the one that was due where it was recovered; in one unit only."""
    said = at(case, "machine.charge")
    dues = [entry["values"].get("due_charge") for entry in case.get("readings") or () if "values" in entry]
    for due in (due for due in dues if said and due and due["unit"] == said["unit"]):
        low, high = sorted((float(said["value"]), float(due["value"])))
        if high > ALIKE * low:
            text = (
                "The machine and the readings tell of two full charges: read the nameplate and the length of the lines."
            )
            yield Contradiction("diagnosis", text)
            return


ALIKE = 1.25
"""Ratio up to which two figures of one charge may be the plate's and what long lines add to it."""


def _insulation(case: Result) -> Iterator[Contradiction]:
    """Two readings of one winding to ground, one of them its test, too far apart for one winding."""
    sets = [entry for entry in in_time(case, "readings") if "values" in entry]
    for of, test in TESTED:
        told = merged(sets, of).get("insulation_resistance"), at(case, test)
        if None in told:
            continue
        low, high = sorted(filter(None, told), key=_ohms)
        if _ohms(high) > FAR * _ohms(low):
            lower, higher = (f"{told['value']:g} {told['unit']}" for told in (low, high))
            yield Contradiction(
                "insulation",
                f"Two readings of the insulation of one winding disagree, {lower} and {higher}: measure again at clean "
                "terminals with the cables off, and go by the lower one until then.",
            )


TESTED = (
    ("found", "tests_of_failure.insulation.resistance"),
    ("after-repair", "before_start.insulation.resistance"),
)
"""By kind of readings where the test of the same winding stands."""
FAR = 20.0
"""Insulation halves every 10 K (common practice): a winding that cooled by 40 K reads 16 times as much, not more."""
OHMS = (("gigohm", 1e9), ("megohm", 1e6), ("kilohm", 1e3), ("milliohm", 1e-3), ("ohm", 1.0))


def _ohms(reading: Any) -> float:
    """A resistance in ohm.

    >>> _ohms({"value": 0.05, "unit": "megohm"})
    50000.0
    """
    return float(reading["value"]) * dict(OHMS)[reading["unit"]]


def _refrigerants(case: Result, done: Mapping[str, Result]) -> Iterator[Contradiction]:
    said = case.get("refrigerant")
    facts = at(done, "note.facts") or ()
    heard = dict.fromkeys(str(fact["value"]) for fact in facts if fact["kind"] == "refrigerant")
    if not said or not heard:
        return
    try:
        known = str(resolve(str(said)))
    except InputError:
        return
    if others := [name for name in heard if name != known]:
        yield Contradiction(
            "note",
            f"The case says {known}, the note tells of {' and '.join(others)}: read the nameplate and the label.",
        )


def _times(case: Result) -> Iterator[Contradiction]:
    call, now, start = (_moment(case.get(name)) for name in ("complaint_at", "as_of", "start"))
    ahead = dict.fromkeys(_ahead(case))
    if call and now and now < call - SLACK:
        yield Contradiction("diagnosis", "The case is as of a moment before the call.")
    if ahead:
        told = ", ".join(ahead)
        yield Contradiction(
            "diagnosis", f"Dated after the moment that the case is as of, so one date is wrong: {told}."
        )
    if call and start and start < call - SLACK:
        yield Contradiction("restart", "The new compressor starts before the call that told of the old one.")


def _ahead(case: Result) -> Iterator[str]:
    """What is told as read or written after the moment of the case, with its date as it was given."""
    now = _moment(case.get("as_of"))
    site = zone_of(case)
    for name, what in _LISTS.items():
        for entry in case.get(name) or ():
            when = str(entry.get("at") or "")
            if not (now and when):
                continue
            known = site is not UTC or datetime.fromisoformat(when).tzinfo is not None
            if moment(when, site) > now + (_MINUTES if known else SLACK):
                yield f"{what} ({when[:16].replace('T', ' ')})"


def _moment(text: object) -> datetime | None:
    """The moment; a text without an offset is compared as if it were in UTC, which `SLACK` forgives."""
    if not text:
        return None
    found = datetime.fromisoformat(str(text))
    return found.replace(tzinfo=UTC) if found.tzinfo is None else found
