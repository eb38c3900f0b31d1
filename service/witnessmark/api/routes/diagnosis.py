"""POST /v1/diagnosis."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.api.context import RequestContext
from witnessmark.api.derived import show_derived, shown
from witnessmark.api.problems import documented
from witnessmark.api.quantities import Quantity
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.diagnosis import DiagnosisAnswer, DiagnosisRequest
from witnessmark.api.schemas.diagnosis_result import DerivedNumber, DiagnosisResult
from witnessmark.api.schemas.field_readings import FieldReadings as ReadingsOnTheWire
from witnessmark.api.slow_work import apart
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import MACHINE_WORDS, Case, Machine, Report, Want
from witnessmark.diagnosis.diagnose import diagnose as reason
from witnessmark.diagnosis.evidence.derivation import Derived, FieldReadings, Three, derive
from witnessmark.diagnosis.evidence.readings import catalogue
from witnessmark.errors import ConflictError

router = version_one("diagnosis")
# field: accepted range in SI and the instrument whose accuracy stands in where none is given
_SINGLE: dict[str, tuple[float, float, str | None]] = {
    "suction_pressure": (1.0, 2e7, "pressure-gauge-digital"),
    "suction_temperature": (173.15, 473.15, "pipe-thermometer"),
    "discharge_pressure": (1.0, 2e7, "pressure-gauge-digital"),
    "discharge_temperature": (173.15, 573.15, "discharge-thermometer"),
    "liquid_temperature": (173.15, 473.15, "pipe-thermometer"),
    "sump_temperature": (173.15, 473.15, "shell-thermometer"),
    "outdoor_temperature": (203.15, 343.15, "ambient-thermometer"),
    "running_current": (0.0, 5000.0, "clamp-ammeter"),
    "expected_current": (0.01, 5000.0, None),
    "rated_voltage": (1.0, 15e3, None),
    "insulation_resistance": (0.01, 1e14, "insulation-tester"),
    "winding_temperature": (223.15, 473.15, "shell-thermometer"),
    "oil_acid_number": (0.0, 50.0, None),
    "oil_water": (0.0, 0.1, None),
    "recovered_charge": (0.0, 1e5, "scale"),
    "due_charge": (1e-3, 1e5, None),
}
_TRIPLE: dict[str, tuple[float, float, str]] = {
    "line_voltages": (0.0, 15e3, "voltmeter"),
    "line_currents": (0.0, 5000.0, "clamp-ammeter"),
    "winding_resistances": (1e-4, 1e6, "winding-ohmmeter"),
}
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
    readings = _readings(context, body.readings)
    derived = derive(body.refrigerant, readings, low_temperature=_low_temperature(body))
    diagnosis = await apart(reason, _case(body, derived))
    for line in (*derived.remarks, *diagnosis.assumptions):
        context.assume(line)
    context.warn(*diagnosis.cautions)
    context.cite(*diagnosis.sources)
    result = shown(DiagnosisResult, diagnosis, derived=_numbers(context, derived))
    return DiagnosisAnswer(result=result, **context.notes())


def _low_temperature(body: DiagnosisRequest) -> bool:
    """Whether the machine cools frozen goods, by its application or by the equipment. ConflictError if they differ."""
    application, equipment = body.machine.application, body.circumstances.equipment
    if application is not None and equipment in _COOLED_GOODS and application != equipment:
        fields = ("machine.application", "circumstances.equipment")
        raise ConflictError(fields, "they name different temperatures", "the same of both, or one of them")
    return "low-temperature" in (application, equipment)


def _readings(context: RequestContext, readings: ReadingsOnTheWire) -> FieldReadings:
    measured: dict[str, Measured | Three | None] = {}
    for name, (low, high, instrument) in _SINGLE.items():
        measured[name] = context.read_optional(getattr(readings, name), f"readings.{name}", low, high, instrument)
    for name, limits in _TRIPLE.items():
        measured[name] = _three(context, getattr(readings, name), f"readings.{name}", limits)
    if readings.oil_colour is not None:
        measured["oil_colour"] = Measured(readings.oil_colour)
    if readings.starts_per_hour is not None:
        measured["starts_per_hour"] = Measured(readings.starts_per_hour)
    return FieldReadings(running=readings.running, **measured)  # type: ignore[arg-type]


def _three(
    context: RequestContext, quantities: Sequence[Quantity] | None, field: str, limits: tuple[float, float, str]
) -> Three | None:
    if quantities is None:
        return None
    one, two, three = (context.read(q, f"{field}.{k}", *limits) for k, q in enumerate(quantities))
    return one, two, three


def _case(body: DiagnosisRequest, derived: Derived) -> Case:
    return Case(
        machine=Machine(**{part: getattr(body.machine, part) for part in MACHINE_WORDS}),
        findings=tuple(Report(r.finding, r.state, r.reliability) for r in body.findings),
        readings=derived.readings,
        circumstances=body.circumstances.pairs(),
        reported_by=tuple(dict.fromkeys(body.reported_by)),
        conditions=None if body.conditions is None else tuple(dict.fromkeys(body.conditions)),
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
