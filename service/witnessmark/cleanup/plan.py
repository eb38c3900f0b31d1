"""The cleanup of one circuit: grade, limits, filters, steps, dated checks and when to stop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from witnessmark.cleanup import components, filters, quantities, schedule
from witnessmark.cleanup.case import Circuit, CleanupCase
from witnessmark.cleanup.components import PartAction
from witnessmark.cleanup.contaminants import Load
from witnessmark.cleanup.drop_limits import DropLimit, drop_limit
from witnessmark.cleanup.filters import Fit, Need
from witnessmark.cleanup.instructions import Step, facts_of, instructions
from witnessmark.cleanup.oil_changes import Dilution
from witnessmark.cleanup.quantities import Notes
from witnessmark.cleanup.schedule import Check
from witnessmark.cleanup.severity import Grade, Severity, severity
from witnessmark.cleanup.tables import table
from witnessmark.cleanup.turnover import Turnover
from witnessmark.errors import UnknownNameError


class _Sourced(Protocol):
    """Anything that says where it comes from."""

    @property
    def source(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Amounts:
    """Turnover, needs and fits of filters, loads of water and acid, oil changes; what is not known is None or empty."""

    turnover: Turnover | None
    needs: tuple[Need, ...]
    fits: tuple[Fit, ...]
    loads: tuple[Load, ...]
    dilution: Dilution | None


@dataclass(frozen=True, slots=True)
class CleanupPlan:
    """The plan; assumptions in words, cautions and sources by id."""

    severity: Severity
    drop_limit: DropLimit
    amounts: Amounts
    parts: tuple[PartAction, ...]
    steps: tuple[Step, ...]
    checks: tuple[Check, ...]
    clean_when: tuple[str, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]


def plan(case: CleanupCase) -> CleanupPlan:
    """Grade, size, schedule and instruct.

    Errors: UnknownNameError (refrigerant, time_zone, oil, parts), OutOfRangeError, ConflictError and InputError with
    the field's name.
    """
    notes, circuit = Notes(), case.circuit
    grade = severity(case.signs)
    limit = drop_limit(circuit.refrigerant, circuit.evaporating, case.installation, case.maker_drop)
    amounts = _amounts(case, grade.grade, limit, notes)
    can_lock = _can_lock(circuit, notes)
    facts = facts_of(circuit.refrigerant, circuit.plant, circuit.compressors, case.signs, can_lock=can_lock)
    steps = instructions(grade.grade, facts)
    parts = components.actions(_parts(circuit, notes), grade.grade, solids="solids" in facts)
    checks = _checks(case, grade.grade, amounts.turnover, notes)
    cautions = ("licensed", *(key for step in steps for key in step.cautions))
    cited = (*_quoted(grade, limit, parts, steps, checks), *notes.sources, table("steps")["clean"]["source"])
    return CleanupPlan(
        severity=grade,
        drop_limit=limit,
        amounts=amounts,
        parts=parts,
        steps=steps,
        checks=checks,
        clean_when=tuple(table("steps")["clean"]["text"]),
        assumptions=tuple(notes.assumptions),
        cautions=tuple(dict.fromkeys(cautions)),
        sources=tuple(dict.fromkeys(cited)),
    )


def _amounts(case: CleanupCase, grade: Grade, limit: DropLimit, notes: Notes) -> Amounts:
    flow = quantities.flow(case.circuit, notes)
    turn = quantities.turnover_of(case.circuit, case.oil, flow, notes)
    needs = quantities.needs(case, limit, flow, notes)
    rated = list(enumerate(case.ratings))
    fits = tuple(filters.fit(n, rating, place) for place, rating in rated for n in needs if n.line == rating.line)
    return Amounts(turn, needs, fits, quantities.loads(case, notes), quantities.dilution(case, grade, notes))


def _checks(case: CleanupCase, grade: Grade, turn: Turnover | None, notes: Notes) -> tuple[Check, ...]:
    site = schedule.zone(case.time_zone)
    start = schedule.instant(case.start, site)
    if schedule.is_twofold(case.start, site):
        notes.assume("start: this clock time comes twice that day; the first was taken.")
    return schedule.checks(start, site, grade, turn)


def _can_lock(circuit: Circuit, notes: Notes) -> bool:
    if circuit.plant == "cooling only" or circuit.can_lock is not None:
        return bool(circuit.can_lock)
    notes.assume("The plant can be locked in cooling (not said); if it cannot, say so: filters and steps differ.")
    return True


def _parts(circuit: Circuit, notes: Notes) -> tuple[str, ...]:
    if circuit.parts is None:
        notes.assume(f"Parts: the usual ones of a plant of the kind '{circuit.plant}'.")
        return components.usual_parts(circuit.plant)
    for index, part in enumerate(circuit.parts):
        if part not in components.PARTS:
            raise UnknownNameError(f"parts.{index}", "part", components.PARTS)
    return tuple(dict.fromkeys(circuit.parts))


def _quoted(
    grade: Severity, limit: DropLimit, parts: tuple[PartAction, ...], steps: tuple[Step, ...], checks: tuple[Check, ...]
) -> Iterator[str]:
    quoted: list[_Sourced] = [*grade.items, *limit.candidates, limit.rise, *parts, *steps, *checks]
    yield from (item.source for item in quoted)
    yield from (row.source for item in grade.oil_items for row in item.limits)
    yield from (limit.source, "coolprop", table("severity")["thresholds_source"])
