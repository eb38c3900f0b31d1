"""POST /v1/diagnosis."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.api.context import RequestContext
from witnessmark.api.derived import show_derived
from witnessmark.api.problems import documented
from witnessmark.api.quantities import Quantity
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.diagnosis import DiagnosisAnswer, DiagnosisRequest
from witnessmark.api.schemas.diagnosis_result import DerivedNumber, DiagnosisResult
from witnessmark.api.schemas.field_readings import FieldReadings as GivenReadings
from witnessmark.api.slow_work import apart
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Case, Machine, Report, Wishes
from witnessmark.diagnosis.diagnose import diagnose as reason
from witnessmark.diagnosis.evidence.derivation import Derived, FieldReadings, Three, derive
from witnessmark.diagnosis.evidence.readings import catalogue
from witnessmark.errors import ConflictError, InputError

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
# Names of the reasoning's own fields as they stand in the request.
_FIELDS = {"reports": "findings", "channels": "reported_by", "contexts": "circumstances", "wishes": "want"}


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
    derived = derive(body.refrigerant, _readings(context, body.readings), _is_low_temperature(body))
    try:
        found = await apart(reason, _case(body, derived))
    except InputError as error:
        _rename(error)
        raise
    for line in (*derived.remarks, *found.assumptions):
        context.assume(line)
    context.warn(*found.cautions)
    context.cite(*found.sources)
    result = DiagnosisResult.model_validate(found).model_copy(update={"derived": _shown(context, derived)})
    return DiagnosisAnswer(result=result, **context.notes())


def _is_low_temperature(body: DiagnosisRequest) -> bool:
    return body.circumstances.equipment == "low-temperature"


def _readings(context: RequestContext, given: GivenReadings) -> FieldReadings:
    found: dict[str, Measured | Three | None] = {}
    for name, (low, high, instrument) in _SINGLE.items():
        found[name] = context.read_optional(getattr(given, name), f"readings.{name}", low, high, instrument)
    for name, (low, high, meter) in _TRIPLE.items():
        found[name] = _three(context, getattr(given, name), f"readings.{name}", (low, high, meter))
    if given.oil_colour is not None:
        found["oil_colour"] = Measured(given.oil_colour)
    if given.starts_per_hour is not None:
        found["starts_per_hour"] = Measured(given.starts_per_hour)
    return FieldReadings(running=given.running, **found)  # type: ignore[arg-type]


def _three(
    context: RequestContext, given: Sequence[Quantity] | None, field: str, limits: tuple[float, float, str]
) -> Three | None:
    if given is None:
        return None
    one, two, three = (context.read(q, f"{field}.{k}", *limits) for k, q in enumerate(given))
    return one, two, three


def _case(body: DiagnosisRequest, derived: Derived) -> Case:
    machine, want = body.machine, body.want
    return Case(
        machine=Machine(machine.compressor, machine.shell, machine.drive),
        reports=tuple(Report(r.finding, r.state, r.reliability) for r in body.findings),
        readings=derived.readings,
        contexts=body.circumstances.pairs(),
        channels=tuple(dict.fromkeys(body.reported_by)),
        conditions=None if body.conditions is None else tuple(dict.fromkeys(body.conditions)),
        ran=body.readings.running is True,
        wishes=Wishes(want.explanation, want.next_checks, want.sensitivity, want.shortlist),
    )


def _rename(error: InputError) -> None:
    """Name the fields as they stand in the request."""
    error.field = _requested(error.field)
    if isinstance(error, ConflictError):
        error.fields = tuple(map(_requested, error.fields))


def _requested(field: str) -> str:
    head, dot, rest = field.partition(".")
    return _FIELDS.get(head, head) + dot + rest


def _shown(context: RequestContext, derived: Derived) -> list[DerivedNumber]:
    return [
        DerivedNumber(
            id=reading.quantity,
            text=catalogue()[reading.quantity].text,
            value=show_derived(
                context, catalogue()[reading.quantity].dimension, Measured(reading.value, reading.uncertainty)
            ),
            derived_from=list(origins),
        )
        for reading, origins in zip(derived.readings, derived.origins, strict=True)
    ]
