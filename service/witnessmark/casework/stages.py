"""What is asked by the stage of a job: readings, then what it takes to clean, to prove and to start the machine."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from witnessmark.casework.document import at

READ: tuple[tuple[str, str], ...] = (
    ("now.running", "Does the compressor run while it is read?"),
    ("now.suction_pressure", "What does the suction pressure read?"),
    ("now.discharge_pressure", "What does the discharge pressure read?"),
    ("now.suction_temperature", "What does the suction line read at the compressor?"),
    ("now.liquid_temperature", "What does the liquid line read?"),
    ("now.discharge_temperature", "What does the discharge line read near the compressor?"),
)
"""What tells most of a machine that runs, in one look."""
AT_REST = READ[:1]
"""Of these what is asked of one that does not run."""
TOLD_BY: dict[str, tuple[str, ...]] = {
    "now.suction_pressure": ("now.suction_superheat", "now.compression_ratio"),
    "now.discharge_pressure": ("now.subcooling", "now.compression_ratio"),
    "now.suction_temperature": ("now.suction_superheat",),
    "now.liquid_temperature": ("now.subcooling",),
    "now.discharge_temperature": ("now.discharge_superheat",),
}
"""Readings that say the same already worked out."""


@dataclass(frozen=True, slots=True)
class Proof:
    """What proves a check that no claim passes: field, its question, and what else of it must be said to count."""

    field: str
    text: str
    beside: tuple[tuple[str, str], ...] = ()


_SUPPLY = Proof(
    "before_start.supply",
    "What do the three line voltages read, and what does the nameplate ask for?",
    (("rated_voltage", "Which voltage does the nameplate ask for?"),),
)
_LINE = Proof("before_start.line_voltage", "What does the supply read, and what does the nameplate ask for?")
_GAS = ("gas",)
_TEST = "Which gas held which pressure for how long in the repaired circuit?"
PROOFS: dict[str, Proof] = {
    "insulation": Proof(
        "before_start.insulation",
        "What does the insulation tester read at the compressor that is to be started, winding to ground?",
        (
            ("conditions.through_drive", "Was a drive connected when the insulation was read?"),
            ("conditions.under_vacuum", "Was the shell under vacuum when the insulation was read?"),
            ("conditions.power_locked_out", "Was the supply locked out when the insulation was read?"),
        ),
    ),
    "windings": Proof(
        "before_start.windings",
        "What do the windings of the compressor that is to be started read between the terminals?",
    ),
    "supply": _SUPPLY,
    "vacuum": Proof(
        "before_start.evacuation",
        "What did the vacuum read after the pump was shut off?",
        (
            ("pump_valved_off", "Was the pump valved off while the vacuum was watched?"),
            ("gauge_at_pump", "Did the vacuum gauge sit at the pump instead of in the circuit?"),
        ),
    ),
    "charge": Proof("before_start.measured.charge", "Which charge was weighed in, and which one is asked for?"),
    "sump-warm": Proof("before_start.measured.heater_on", "How long has the crankcase heater been on?"),
    "coupling": Proof("before_start.measured.coupling_offset", "By how much is the coupling off?"),
}
SIDES = {"pressure-test-high": "high", "pressure-test-low": "low"}
"""Checks of the pressure tests, each of a side."""


def readings(seen: Mapping[str, Any], noted: Mapping[str, Any] | None = None) -> Iterator[tuple[str, str]]:
    """(path, question) of the readings that are not known, be it from a set of them or from the note.

    noted: readings of the note. Whether it runs is known from a condition or a finding as well.
    """
    runs = runs_now(seen)
    asked = AT_REST if runs is False else READ
    told = {"now": noted or {}}
    for path, text in asked:
        known = any(
            at(document, name) is not None for name in (path, *TOLD_BY.get(path, ())) for document in (seen, told)
        )
        if not known and not (path == READ[0][0] and runs is not None):
            yield path, text


def runs_now(seen: Mapping[str, Any]) -> bool | None:
    """Whether the compressor runs, as a reading, a condition or a finding tells; None where nothing does."""
    if (read := at(seen, "now.running")) is not None:
        return bool(read)
    states = {report["finding"]: report["state"] for report in seen.get("findings") or ()}
    if RUNS in (seen.get("conditions") or ()) or states.get(RUNS) == "present":
        return True
    return False if any(states.get(finding) == "present" for finding in STANDS) else None


RUNS = "compressor-runs"
"""The condition and the normal that say so."""
STANDS = ("will-not-start", "breaker-trips-at-once", "bang-then-dead")
"""Findings of a compressor that does not run."""


def of_check(check: str, seen: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """(field, question) of what proves a check and is not told yet."""
    if (side := SIDES.get(check)) is not None:
        tests = at(seen, "before_start.pressure_tests") or ()
        if not any(test.get("side") in (side, "whole") for test in tests):
            yield f"before_start.pressure_tests.{len(tests)}", _TEST
        return
    proof = proof_of(check, seen)
    if proof is None:
        return
    if at(seen, proof.field) is None:
        yield proof.field, proof.text
        return
    for name, text in proof.beside:
        if at(seen, f"{proof.field}.{name}") is None:
            yield f"{proof.field}.{name}", text


def proof_of(check: str, seen: Mapping[str, Any]) -> Proof | None:
    """What proves a check at this machine; None where it is told in words."""
    single = at(seen, "machine.phases") == "single-phase"
    return _LINE if check == "supply" and single else PROOFS.get(check)


def proved_by_reading(check: str, seen: Mapping[str, Any]) -> bool:
    """Whether a check is proved by readings, so that nobody is asked whether it is so."""
    return check in SIDES or proof_of(check, seen) is not None


def beside(field: str) -> tuple[str, ...]:
    """What else is asked together with a field, by its names below it."""
    if field.startswith("before_start.pressure_tests."):
        return _GAS
    return next(
        (tuple(name for name, _ in proof.beside) for proof in (*PROOFS.values(), _LINE) if proof.field == field), ()
    )


OPENED_ONLY = ("signs.burn", "signs.debris", "signs.deposits")
"""Of what follows, what nobody can tell before the compressor is open or the lines are cut."""
LATER: tuple[tuple[str, str], ...] = (
    ("tests_of_failure.insulation.resistance", "What does the insulation tester read, winding to ground?"),
    ("tests_of_failure.windings.terminals", "What do the windings read between the terminals?"),
    ("signs.burn", "Is the winding of the opened compressor burnt?"),
    ("signs.debris", "What is loose in the opened compressor?"),
    ("signs.deposits", "What lies in the lines that were cut?"),
    ("signs.acid_test", "What does the acid test of the old oil say?"),
    ("machine.oil", "Which oil is in the circuit?"),
    ("machine.evaporating_temperature", "At which evaporating temperature does the machine run when it is sound?"),
    ("site.time_zone", "In which time zone does the machine stand?"),
    ("start", "When is the new compressor to start?"),
)
"""Asked last: what the cleanup and the gate begin with."""
