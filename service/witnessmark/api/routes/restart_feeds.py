"""What the motor of a restart request takes: by its nameplate, and as it was read while it ran."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity
from witnessmark.api.routes.windings import read_feed
from witnessmark.api.schemas.restart import RestartTests
from witnessmark.api.schemas.windings import WindingsFields
from witnessmark.calculations.electrical.winding_current import CURRENTS, VOLTAGES, Feed
from witnessmark.restart.context import Machine


def feeds(context: RequestContext, fields: WindingsFields, tests: RestartTests, machine: Machine) -> Iterator[Feed]:
    """Each current that is known of the motor, with the voltage that goes with it.

    The nameplate's voltage may stand beside any test that asks for it; currents that were read while it ran count with
    the voltages beside them.
    """
    inverter = machine.drive == "inverter"
    nameplate = read_feed(context, fields, _rated_voltage(tests))
    if nameplate is not None:
        yield replace(nameplate, inverter=inverter)
    supply = tests.supply_unbalance
    if supply is None or supply.currents is None or supply.measured_between != "line-to-line":
        return
    amps, volts = (_mean(quantities) for quantities in (supply.currents, supply.voltages))
    if CURRENTS[0] <= amps <= CURRENTS[1] and VOLTAGES[0] <= volts <= VOLTAGES[1]:
        yield Feed(volts, amps, rated=False, inverter=inverter)


def _rated_voltage(tests: RestartTests) -> float | None:
    given = (tests.supply_unbalance, tests.line_voltage, tests.insulation)
    rated = next((test.rated_voltage for test in given if test is not None and test.rated_voltage is not None), None)
    return None if rated is None else rated.to_si().value


def _mean(quantities: Sequence[Quantity]) -> float:
    return sum(q.to_si().value for q in quantities) / len(quantities)
