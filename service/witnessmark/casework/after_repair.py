"""Whether what was read after a repair is still the last that is known, and whether it asks for proofs all the same."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from witnessmark.casework.document import at
from witnessmark.casework.moments import in_time, moment, zone_of
from witnessmark.casework.orders import lost
from witnessmark.casework.repair import OUT, ends

Result = Mapping[str, Any]
AFTER = "after-repair"
BURNT = frozenset(
    {
        "oil-burnt",
        "acid-test-positive",
        "sludge-in-lines",
        "windings-burnt-evenly",
        "windings-one-or-two-phases-burnt",
        "winding-burnt-pattern-unknown",
        "spot-burn-in-winding",
        "start-winding-burnt",
        "terminal-burnt",
        "terminal-vented",
    }
)
"""Findings of a circuit that is to be cleaned, whatever runs in it."""


def overtaken(case: Mapping[str, Any]) -> bool:
    """Whether the machine was read as failed, called for or written of after the last readings after the repair.

    Where two sets of readings have no times, the later in the list is the later one.
    """
    sets = in_time(case, "readings")
    place = max((k for k, entry in enumerate(sets) if entry.get("of") == AFTER), default=None)
    if place is None:
        return False
    zone = zone_of(case)
    read = moment(sets[place]["at"], zone) if sets[place].get("at") else None
    found = [(k, entry.get("at")) for k, entry in enumerate(sets) if entry.get("of", "found") == "found"]
    if any(moment(when, zone) > read if read and when else k > place for k, when in found):
        return True
    return read is not None and any(moment(when, zone) > read for when in _told(case))


def _told(case: Mapping[str, Any]) -> Iterator[str]:
    """When the call came and when notes of the failed machine were written."""
    if case.get("complaint_at"):
        yield case["complaint_at"]
    for note in case.get("notes") or ():
        if note.get("at") and note.get("of", "found") == "found":
            yield note["at"]


def gate_owed(case: Result, view: Result, done: Mapping[str, Result]) -> bool:
    """Whether the machine had to be proved before it started again, however well it runs.

    The compressor was opened or changed, the circuit is burnt, or the compressor was found dead: whatever the document
    tells of the proofs. done: results by part; view: with what was heard in the note among its findings.
    """
    if any(end.kind in OUT for end in ends(case)):
        return True
    found = {report["finding"] for report in view.get("findings") or () if report["state"] == "present"}
    if found & BURNT or at(done, "insulation.verdict") == "grounded":
        return True
    return lost(done, case)


def ran_after(case: Result) -> bool:
    """Whether the last that is known of the machine was read after the repair."""
    return not overtaken(case) and any(entry.get("of") == AFTER for entry in case.get("readings") or ())
