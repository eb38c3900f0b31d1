"""POST /v1/diagnosis."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from witnessmark.api.context import RequestContext
from witnessmark.api.derived import show_derived
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.diagnosis import CaseFields, DiagnosisAnswer, DiagnosisRequest, Wanted
from witnessmark.api.schemas.diagnosis_result import DerivedNumber
from witnessmark.api.shorter import fitting
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import MACHINE_WORDS, Case, Channel, Fluid, Machine, Report, Want
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.diagnose import diagnose as reason
from witnessmark.diagnosis.evidence.baseline import Baseline
from witnessmark.diagnosis.evidence.derive import Derived, derive
from witnessmark.diagnosis.evidence.evidence import SILENT
from witnessmark.diagnosis.result import Diagnosis, NextChecks, UsedEvidence
from witnessmark.errors import ConflictError
from witnessmark.refrigerants.unserved import Bare, with_properties

router = version_one("diagnosis")
MOST_BYTES = 19_900
"""What an answer fills at most where nothing more is wanted: 20 kB are promised."""


@dataclass(frozen=True, slots=True)
class _First:
    """How much of each long list is given unless all of it is wanted."""

    ranked: int = 5
    weights: int = 3
    used: int = 6
    checks: int = 3
    withheld: int = 2
    explained: bool = True


LENGTHS = (_First(), _First(4, 2, 4, 2, 1), _First(3, 1, 2, 1, 0), _First(2, 0, 0, 1, 0, explained=False))
"""Tried in turn until an answer is short enough: with very many findings safety and verdict take their room."""
_NEVER_HEATS = ("comfort-cooling", "chiller")
_COOLED_GOODS = ("medium-temperature", "low-temperature")
"""Words that say the same as an application and as a kind of equipment."""


@calculation(router, "/diagnosis", "Failure modes and system causes from findings and readings")
def diagnose(body: DiagnosisRequest) -> DiagnosisAnswer:
    """Rank failure modes and system causes, with the evidence for and against, next checks, safety and dispatch.

    Readings become derived numbers, derived numbers become soft evidence, evidence moves probabilities. What is unknown
    counts for nothing; what is absent counts against. Read `safety` and `verdict` first.
    """
    return diagnosed(body)


def diagnosed(body: DiagnosisRequest) -> DiagnosisAnswer:
    """The answer to a request. Raises InputError and its kinds."""
    context = RequestContext.of(body)
    case, derived = case_of(context, body)
    asked = {name: value for name, value in body.want.model_dump().items() if name in Want.__slots__}
    diagnosis = reason(replace(case, reported_by=_channels(body), want=Want(**asked)))
    for line in (*derived.remarks, *diagnosis.assumptions):
        context.assume(line)
    context.warn(*diagnosis.cautions)
    context.cite(*diagnosis.sources)
    return _fitting(context, diagnosis, body.want, _numbers(context, derived))


def _fitting(
    context: RequestContext, diagnosis: Diagnosis, want: Wanted, derived: list[DerivedNumber]
) -> DiagnosisAnswer:
    """The answer as long as it may be, unless the caller wants more of something."""
    return fitting(
        lambda first: context.answer(DiagnosisAnswer, shortened(diagnosis, want, first), derived=derived),
        LENGTHS[:1] if want.model_fields_set else LENGTHS,
        MOST_BYTES,
    )


def case_of(context: RequestContext, body: CaseFields) -> tuple[Case, Derived]:
    """The case that the fields describe, and the numbers that its readings came to. Raises InputError and its kinds."""
    if isinstance(body.refrigerant, Bare):
        context.assume(body.refrigerant.words)
    derived = _derived(context, body)
    return _case(body, derived), derived


def shortened(diagnosis: Diagnosis, want: Wanted, first: _First) -> Diagnosis:
    """The first of every long list, unless all of it is wanted."""
    return replace(
        diagnosis,
        modes=diagnosis.modes[: None if want.all_modes else first.ranked],
        causes=diagnosis.causes[: None if want.all_causes else first.ranked],
        used=tuple(_used(diagnosis, want, first)),
        explanations=tuple(
            replace(told, weights=told.weights[: None if want.all_weights else first.weights])
            for told in (diagnosis.explanations if first.explained else ())
        ),
        next_checks=_checks(diagnosis, want, first),
    )


def _used(diagnosis: Diagnosis, want: Wanted, first: _First) -> Iterator[UsedEvidence]:
    """What was reported or read, the heaviest where it is much, in its order; then what nobody mentioned."""
    told = [piece for piece in diagnosis.used if piece.state != SILENT]
    heaviest = sorted(told, key=lambda piece: -max(map(abs, piece.weights.values())))
    shown = told if want.all_used else heaviest[: first.used]
    yield from (piece for piece in told if piece in shown)
    yield from (piece for piece in diagnosis.used if want.used_unmentioned and piece.state == SILENT)


def _checks(diagnosis: Diagnosis, want: Wanted, first: _First) -> NextChecks | None:
    checks = diagnosis.next_checks
    if checks is None:
        return None
    withheld = checks.withheld if want.all_withheld else checks.withheld[: first.withheld]
    return replace(checks, checks=checks.checks[: None if want.all_checks else first.checks], withheld=withheld)


def _channels(body: DiagnosisRequest) -> tuple[Channel, ...]:
    return tuple(dict.fromkeys(body.reported_by))


def _derived(context: RequestContext, body: CaseFields) -> Derived:
    """The numbers that the readings, and the baseline beside them, allow."""
    low_temperature = _low_temperature(body)
    if not body.readings.model_fields_set and body.baseline is None:
        return Derived((), (), ())
    return derive(
        body.refrigerant,
        body.readings.read(context),
        low_temperature=low_temperature,
        machine=_machine(body),
        condenser=body.machine.condenser,
        baseline=_baseline(context, body),
        chiller=body.circumstances.equipment == "chiller",
        heat_pump=body.circumstances.equipment == "heat-pump",
        trips_at_once=any(r.finding == "breaker-trips-at-once" and r.state == "present" for r in body.findings),
        application=body.machine.application,
        cooling_only=body.circumstances.equipment in _NEVER_HEATS,
    )


def _baseline(context: RequestContext, body: CaseFields) -> Baseline | None:
    return Baseline(body.baseline.read(context, "baseline"), body.same_instruments) if body.baseline else None


def _machine(body: CaseFields) -> Machine:
    return Machine(**{part: getattr(body.machine, part) for part in MACHINE_WORDS})


def _low_temperature(body: CaseFields) -> bool:
    """Whether the machine cools frozen goods, by its application or by the equipment. ConflictError if they differ."""
    application, equipment = body.machine.application, body.circumstances.equipment
    if application is not None and equipment in _COOLED_GOODS and application != equipment:
        fields = ("machine.application", "circumstances.equipment")
        raise ConflictError(fields, "they name different temperatures", "the same of both, or one of them")
    return "low-temperature" in (application, equipment)


def _case(body: CaseFields, derived: Derived) -> Case:
    return Case(
        machine=_machine(body),
        findings=tuple(Report(r.finding, r.state, r.reliability) for r in body.findings),
        readings=derived.readings,
        circumstances=body.circumstances.pairs(),
        conditions=None if body.conditions is None else tuple(dict.fromkeys(body.conditions)),
        compressor_fate=body.compressor_fate,
        first=body.first,
        read=tuple(name for name in type(body.readings).model_fields if getattr(body.readings, name) is not None),
        ran=derived.running is True,
        stood=body.readings.running is False,
        values=derived.values,
        refrigerant=with_properties(body.refrigerant),
        doubts=derived.doubts,
        fluid=_fluid(body.refrigerant),
        urgency=body.urgency,
        condenser=body.machine.condenser,
        application=body.machine.application,
        liquid_drier=body.machine.liquid_drier_fitted,
    )


def _fluid(designation: str | None) -> Fluid | None:
    """What is dangerous about it; None where nobody said it, and of one whose class is not known here."""
    known = with_properties(designation)
    return None if known is None else Fluid.of(known)


def _numbers(context: RequestContext, derived: Derived) -> list[DerivedNumber]:
    return [
        DerivedNumber(
            id=reading.quantity,
            text=catalogue()[reading.quantity].text,
            value=show_derived(
                context, catalogue()[reading.quantity].dimension, Measured(reading.value, reading.uncertainty)
            ),
            derived_from=list(fields),
        )
        for reading, fields in zip(derived.readings, derived.derived_from, strict=True)
    ]
