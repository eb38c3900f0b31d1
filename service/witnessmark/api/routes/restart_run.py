"""From a restart request to the log of the run, and to what of the request bounds that run."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity
from witnessmark.api.schemas.restart import RestartRequest, SwitchTest
from witnessmark.api.schemas.watching import AfterRunFields, NumberReading
from witnessmark.api.schemas.watching import RunReading as RunReadingFields
from witnessmark.calculations.metrology.limits import Limit, StatedLimit
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.drop_limits import Installation, drop_limit
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.refrigerants import saturation
from witnessmark.restart import after_run, watch_list
from witnessmark.restart.context import Machine, conditions_of
from witnessmark.restart.evidence import Side
from witnessmark.restart.run_limits import CORE_DROP, SUCTION, TABLE, RunLimits
from witnessmark.restart.run_readings import RunReading

PRESSURES = (1e3, 30e6)


def read_bounds(context: RequestContext, body: RestartRequest, machine: Machine) -> RunLimits:
    """Nameplates of the pressure tests, tried switches, and the drop of the core where no suction pressure is read."""
    measured = body.measured
    return RunLimits(
        least_plate(context, body, "high"),
        least_plate(context, body, "low"),
        _opened(context, measured.high_pressure_switch, "measured.high_pressure_switch"),
        _opened(context, measured.low_pressure_switch, "measured.low_pressure_switch"),
        _core_limit(machine, None),
    )


def least_plate(context: RequestContext, body: RestartRequest, side: Side) -> float | None:
    """The lowest nameplate figure of that side, Pa absolute."""
    plates = [t.design_pressure for t in body.tests.pressure_tests if t.side in (side, "whole") and t.design_pressure]
    return min((context.read(plate, "tests.pressure_tests", *PRESSURES).value for plate in plates), default=None)


def _opened(context: RequestContext, switch: SwitchTest | None, field: str) -> float | None:
    """Where it opened when tried, else its setting, Pa absolute."""
    if switch is None:
        return None
    return context.read(switch.opened_at or switch.setting, field, *PRESSURES).value


def read_run(context: RequestContext, body: AfterRunFields, machine: Machine) -> tuple[tuple[RunReading, ...], float]:
    """The log of the run in SI, and the time since the start."""
    elapsed = context.read(body.elapsed, "elapsed", 0.0, after_run.LONGEST).value
    log = tuple(_run_reading(context, r, f"readings.{k}", machine) for k, r in enumerate(body.readings))
    return log, elapsed


def _run_reading(context: RequestContext, reading: RunReadingFields, prefix: str, machine: Machine) -> RunReading:
    values, table = {}, watch_list.TABLE()
    for item, row in table.items.items():
        value = getattr(reading, item, None)
        if isinstance(value, Quantity):
            values[item] = context.read(value, f"{prefix}.{item}", *table.spans[row.unit])
        elif isinstance(value, NumberReading):
            values[item] = Measured(value.value, value.uncertainty or 0.0)
    proofs = {name: good for name, good in reading.proofs if good is not None}
    at = context.read(reading.at, f"{prefix}.at", 0.0, after_run.LONGEST).value
    limit = _core_limit(machine, values.get(SUCTION)) if CORE_DROP in values else None
    return RunReading(at, values, proofs, {} if limit is None else {CORE_DROP: limit})


def _core_limit(machine: Machine, suction: Measured | None) -> Limit | None:
    """What the core may take at that suction pressure, Pa: as the log of the filters has it; None where not known."""
    if machine.refrigerant is None:
        return None
    burnt = conditions_of(machine) & {"burnout", "debris"}
    installation: Installation = "temporary" if burnt else "permanent"
    try:
        dew = _dew(machine, machine.refrigerant, suction)
        found = drop_limit(machine.refrigerant, dew, installation)
    except (InputError, OutOfRangeError):
        return None
    return Limit("lower", (StatedLimit(found.drop, found.source, f"{installation} core"),))


def _dew(machine: Machine, refrigerant: str, suction: Measured | None) -> float:
    if suction is None:
        return TABLE().evaporating.temperature[machine.application]
    return float(saturation.dew_temperature(refrigerant, suction.value))
