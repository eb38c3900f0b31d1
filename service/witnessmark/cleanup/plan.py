"""The cleanup of one circuit: grade, limits, filters, steps, dated checks and when to stop."""

from __future__ import annotations

from dataclasses import dataclass, replace

from witnessmark.cleanup import components, schedule, sizing
from witnessmark.cleanup.components import PartAction
from witnessmark.cleanup.contaminants import ContaminantLoad, CoreSets
from witnessmark.cleanup.drop_limits import DropLimit, drop_limit
from witnessmark.cleanup.filters import FilterFit, FilterNeed
from witnessmark.cleanup.job import CleanupJob
from witnessmark.cleanup.notes import Notes
from witnessmark.cleanup.oil_changes import Dilution
from witnessmark.cleanup.schedule import ScheduledCheck
from witnessmark.cleanup.severity import SEVERITY, Severity, severity
from witnessmark.cleanup.steps import STEPS, Fact, Step, facts_of, steps
from witnessmark.cleanup.turnover import Turnover
from witnessmark.errors import UnknownNameError, located
from witnessmark.refrigerants.oils import oils
from witnessmark.vocabulary import BurnoutGrade


@dataclass(frozen=True, slots=True)
class CleanupPlan:
    """The plan; what is not known is None or empty."""

    severity: Severity
    drop_limit: DropLimit
    turnover: Turnover | None
    needs: tuple[FilterNeed, ...]
    fits: tuple[FilterFit, ...]
    loads: tuple[ContaminantLoad, ...]
    core_sets: CoreSets
    oil_changes: Dilution | None
    parts: tuple[PartAction, ...]
    steps: tuple[Step, ...]
    checks: tuple[ScheduledCheck, ...]
    clean_when: tuple[str, ...]
    notes: Notes


def plan(job: CleanupJob) -> CleanupPlan:
    """Grade, size, schedule and instruct.

    Errors: UnknownNameError (refrigerant, time_zone, oil, parts), OutOfRangeError, ConflictError and InputError, by the
    names of the job.
    """
    notes = Notes()
    job = _without_an_outside_motor(job, notes)
    contamination = severity(job.oil, job.signs, job.maker_limits)
    grade = contamination.grade
    with located(maker="maker_limits.suction_drop"):
        limit = drop_limit(
            job.refrigerant,
            job.evaporating_temperature,
            job.installation,
            job.maker_limits.suction_drop,
            job.maker_limits.document,
        )
    flow = sizing.circuit_flow(job, notes)
    turnover = sizing.turnover_of(job, flow, notes)
    needs = sizing.filter_needs(job, limit, flow, notes)
    _remark_oil(job, notes)
    can_lock = _can_lock(job, notes)
    facts = facts_of(job, grade, can_lock=can_lock, wet=contamination.wet)
    loads = sizing.contaminant_loads(job, notes)
    cleanup = CleanupPlan(
        severity=contamination,
        drop_limit=limit,
        turnover=turnover,
        needs=needs,
        fits=sizing.filter_fits(job, needs, notes),
        loads=loads,
        core_sets=_core_sets(facts, grade, loads, notes),
        oil_changes=sizing.oil_dilution(job, grade, notes),
        parts=components.actions(_parts(job, notes), grade, job.signs.seen, job.plant),
        steps=steps(grade, facts, job.oil, job.refrigerant),
        checks=_checks(job, grade, turnover, notes, facts),
        clean_when=STEPS().clean.of(facts),
        notes=notes,
    )
    _quote(cleanup)
    return cleanup


def _core_sets(
    facts: frozenset[Fact], grade: BurnoutGrade, loads: tuple[ContaminantLoad, ...], notes: Notes
) -> CoreSets:
    if "ammonia" in facts:
        return sizing.NO_CORES
    return sizing.NO_CORES_OF_A_CHILLER if "chiller" in facts else sizing.core_sets(grade, loads, notes)


def _without_an_outside_motor(job: CleanupJob, notes: Notes) -> CleanupJob:
    """The job without the burn of a motor that stands outside the circuit: it dirties no oil and no refrigerant.

    Oil, acid, smell and what lies in the lines are of the circuit, and decide.
    """
    burnt = job.signs.burn in {"spot", "winding"} or bool(job.signs.burnt_while_turning)
    if job.construction != "open-drive" or not burnt:
        return job
    notes.assume(
        "Open drive: its motor stands outside the circuit, so that its burnt winding contaminates nothing there; the "
        "circuit is judged by its oil, acid and solids. If these show a burn, ask which motor burnt."
    )
    return replace(job, signs=replace(job.signs, burn="none", burnt_while_turning=None))


def _checks(
    job: CleanupJob, grade: BurnoutGrade, turnover: Turnover | None, notes: Notes, facts: frozenset[Fact]
) -> tuple[ScheduledCheck, ...]:
    site = schedule.zone(job.time_zone)
    start = schedule.instant(job.start, site)
    if schedule.is_twofold(job.start, site):
        notes.assume("start: this clock time comes twice that day; the first was taken.")
    if job.oil_port is None:
        kind = "centrifugal" if job.chiller else job.construction
        known = f"{kind}: taken as {'with' if job.draws_oil else 'without'} an oil port"
        notes.assume(f"Oil port not said; {known if kind else 'both ways of testing for acid are named'}.")
    return schedule.checks(
        start,
        site,
        grade,
        turnover,
        locked="lockable" in facts,
        draws_oil=job.draws_oil,
        cores="no-core" not in facts,
        line_filters=not ("chiller" in facts or {"no-core", "no-drier"} <= facts),
        ammonia="ammonia" in facts,
    )


def _remark_oil(job: CleanupJob, notes: Notes) -> None:
    """An oil that does not go with the refrigerant is a slip, or the cause of the failure; limits that do not count."""
    for word in job.maker_limits.words(job.oil).values():
        notes.warn(*word.cautions)
    usual = oils(job.refrigerant)
    if job.refrigerant == "R-717":
        _remark_ammonia(job, notes)
    elif usual and job.oil not in usual:
        notes.assume(
            f"{job.oil} is no usual oil for {job.refrigerant}, which goes with {'; '.join(usual)}: read the nameplates."
        )


def _remark_ammonia(job: CleanupJob, notes: Notes) -> None:
    """Sizes, limits and most steps come from plants with fluorinated refrigerants."""
    notes.assume("Ammonia: sizes and steps here are those of halocarbon plants; the maker's clean-up rules decide.")
    if job.oil in ("POE", "PVE"):
        notes.assume(f"Ammonia with {job.oil}: it destroys such oil. Check refrigerant and oil against the nameplate.")


def _can_lock(job: CleanupJob, notes: Notes) -> bool:
    if job.plant == "cooling-only" or job.can_lock is not None:
        return bool(job.can_lock)
    notes.assume("The plant can be locked in cooling (not said); if it cannot, say so: filters and steps differ.")
    return True


def _parts(job: CleanupJob, notes: Notes) -> tuple[str, ...]:
    if job.parts is None:
        if job.chiller:
            notes.assume("Parts: the usual ones of a centrifugal chiller.")
            return components.COMPONENTS().chiller
        notes.assume(f"Parts: the usual ones of a plant of the kind '{job.plant}'.")
        return components.usual_parts(job.plant)
    for position, part in enumerate(job.parts):
        if part not in components.part_ids():
            raise UnknownNameError(f"parts.{position}", "part", components.part_ids())
    return tuple(dict.fromkeys(job.parts))


def _quote(cleanup: CleanupPlan) -> None:
    """Note every caution and source that the plan names."""
    notes, contamination = cleanup.notes, cleanup.severity
    notes.warn("licensed", *(key for step in cleanup.steps for key in step.cautions))
    cleanup.drop_limit.quote(notes)
    rows = (*contamination.items, *(work.part for work in cleanup.parts), *cleanup.steps)
    notes.cite(*(row.source for row in rows), *(key for check in cleanup.checks for key in check.sources))
    notes.cite(*(row.source for item in contamination.oil_items for row in item.limits))
    notes.cite("coolprop", SEVERITY().thresholds_source, STEPS().clean.source)
