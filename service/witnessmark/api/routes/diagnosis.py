"""POST /v1/diagnosis."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.derived import show_derived
from witnessmark.api.problems import documented
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.diagnosis import DiagnosisAnswer, DiagnosisRequest
from witnessmark.api.schemas.diagnosis_result import DerivedNumber
from witnessmark.api.slow_work import apart
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import MACHINE_WORDS, Case, Machine, Report, Want
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.diagnose import diagnose as reason
from witnessmark.diagnosis.evidence.baseline import Baseline
from witnessmark.diagnosis.evidence.derive import Derived, derive
from witnessmark.errors import ConflictError

router = version_one("diagnosis")
_COOLED_GOODS = ("medium-temperature", "low-temperature")
"""Words that say the same as an application and as a kind of equipment."""


@calculation(
    router,
    "/diagnosis",
    "Failure modes and system causes from findings and readings",
    responses=documented("unavailable"),
)
async def diagnose(body: DiagnosisRequest) -> DiagnosisAnswer:
    """Rank failure modes and system causes, with the evidence for and against, next checks, safety and dispatch.

    Readings become derived numbers, derived numbers become soft evidence, evidence moves probabilities. What is unknown
    counts for nothing; what is absent counts against. Read `safety` and `verdict` first.
    """
    context = RequestContext.of(body)
    derived = _derived(context, body)
    diagnosis = await apart(reason, _case(body, derived))
    for line in (*derived.remarks, *diagnosis.assumptions):
        context.assume(line)
    context.warn(*diagnosis.cautions)
    context.cite(*diagnosis.sources)
    return context.answer(DiagnosisAnswer, diagnosis, derived=_numbers(context, derived))


def _derived(context: RequestContext, body: DiagnosisRequest) -> Derived:
    """The numbers that the readings, and the baseline beside them, allow."""
    return derive(
        body.refrigerant,
        body.readings.read(context),
        low_temperature=_low_temperature(body),
        machine=_machine(body),
        condenser=body.machine.condenser,
        baseline=_baseline(context, body),
    )


def _baseline(context: RequestContext, body: DiagnosisRequest) -> Baseline | None:
    return Baseline(body.baseline.read(context, "baseline"), body.same_instruments) if body.baseline else None


def _machine(body: DiagnosisRequest) -> Machine:
    return Machine(**{part: getattr(body.machine, part) for part in MACHINE_WORDS})


def _low_temperature(body: DiagnosisRequest) -> bool:
    """Whether the machine cools frozen goods, by its application or by the equipment. ConflictError if they differ."""
    application, equipment = body.machine.application, body.circumstances.equipment
    if application is not None and equipment in _COOLED_GOODS and application != equipment:
        fields = ("machine.application", "circumstances.equipment")
        raise ConflictError(fields, "they name different temperatures", "the same of both, or one of them")
    return "low-temperature" in (application, equipment)


def _case(body: DiagnosisRequest, derived: Derived) -> Case:
    return Case(
        machine=_machine(body),
        findings=tuple(Report(r.finding, r.state, r.reliability) for r in body.findings),
        readings=derived.readings,
        circumstances=body.circumstances.pairs(),
        reported_by=tuple(dict.fromkeys(body.reported_by)),
        conditions=None if body.conditions is None else tuple(dict.fromkeys(body.conditions)),
        compressor_fate=body.compressor_fate,
        first=body.first,
        ran=body.readings.running is True,
        want=Want(**body.want.model_dump()),
    )


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
