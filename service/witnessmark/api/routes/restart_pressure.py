"""From a restart request: standing pressure tests of the two sides."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.pressure_test import read_pressure_test
from witnessmark.api.routes.restart_run import PRESSURES, least_plate
from witnessmark.api.schemas.restart import RestartRequest, SideTest
from witnessmark.calculations.metrology.limits import Ruling
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import pressure_test
from witnessmark.calculations.tightness.pressure_test import PressureTest
from witnessmark.refrigerants.unserved import with_properties
from witnessmark.restart import evidence, pressure_bounds
from witnessmark.restart.design_pressure import (
    coldest_design,
    design_pressure,
    kept_cold,
    least_design_pressure,
    low_critical,
    own_design_pressures,
    standstill_pressure,
)
from witnessmark.restart.evidence import Evidence
from witnessmark.restart.run_limits import hottest_pressure

UNHELD = "the design pressure was not held against the refrigerant's saturation: the word of the nameplate on it"
"""What a pressure test owes to the refrigerant having no properties."""
Piece = Evidence | str
"""Evidence of a check, or what it owes to a limit that the maker is said to set."""


def owed_to(context: RequestContext, ruling: Ruling, value: Measured) -> Iterator[str]:
    """What a verdict owes to a limit that the maker is said to set."""
    if ruling.maker is not None:
        context.warn(*ruling.maker.cautions)
    if condition := ruling.condition(value):
        yield condition


def pressure_evidence(context: RequestContext, fields: SideTest, body: RestartRequest) -> Iterator[tuple[str, Piece]]:
    """Evidence for each side that was under pressure, at its own design pressure."""
    refrigerant = with_properties(body.machine.refrigerant)
    test = read_pressure_test(context, fields)
    result, last = pressure_test.pressure_test(test), test.stages[-1]
    plate = context.read_optional(fields.design_pressure, "design_pressure", *PRESSURES)
    slips = (*pressure_bounds.of_air(test.air_pressure), *pressure_bounds.of_slips(test))
    sides: tuple[evidence.Side, ...] = ("high", "low") if fields.side == "whole" else (fields.side,)
    for side in sides:
        tested = _tested(context, fields, body, test, side)
        if fields.superseded:
            yield from ((f"pressure-test-{side}", piece) for piece in _superseded(context, test, body, side))
            continue
        yield f"pressure-test-{side}", evidence.from_pressure_test(result, tested)
        if pressure_bounds.low_pressure_chiller(body.machine.compressor, refrigerant):
            context.cite(pressure_bounds.TABLE().chiller.source)
            yield f"pressure-test-{side}", pressure_bounds.of_chiller(side, tested.reached)
        found = (pressure_bounds.of_short_hold(side, test, result), pressure_bounds.of_coarse(side, test, result))
        for piece in (*slips, *chain(*found), *_stress(context, test, body, side)):
            yield f"pressure-test-{side}", piece
        for owed in owed_to(context, result.hold, Measured(last.duration)):
            yield f"pressure-test-{side}", owed
        if refrigerant is None and plate is not None:
            yield f"pressure-test-{side}", UNHELD


def _tested(
    context: RequestContext, fields: SideTest, body: RestartRequest, test: PressureTest, side: evidence.Side
) -> evidence.TestedSide:
    """What a side stood at, and the design pressure that counts for it.

    A chiller of low pressure has its own rule (`of_chiller`): no design pressure is held against its leak test.
    """
    refrigerant, last, air = with_properties(body.machine.refrigerant), test.stages[-1], test.air_pressure
    stood = last.start_pressure.value - air
    if pressure_bounds.low_pressure_chiller(body.machine.compressor, refrigerant):
        return evidence.TestedSide(side, stood, stood, None, last.duration)
    plate, cold, coldest = context.read_optional(fields.design_pressure, "design_pressure", *PRESSURES), False, None
    design, least = (
        None if refrigerant is None else f(refrigerant, side) for f in (design_pressure, least_design_pressure)
    )
    if refrigerant is not None and low_critical(refrigerant):
        least, cold = standstill_pressure(refrigerant), kept_cold(body.machine.application)
        coldest = coldest_design(refrigerant, side)
        context.cite(evidence.TABLE().kept_cold.source)
    if plate is None and design is not None:
        context.assume(f"Design pressure, {side} side: no nameplate given, saturation at its design temperature.")
    ruling = getattr(evidence.TABLE().design_temperature, side).rule()
    context.cite(*ruling.sources, *evidence.TABLE().tightness_factor.rule().sources)
    return evidence.TestedSide(
        side,
        stood,
        _gauge(design if plate is None else plate.value, air),
        _gauge(least, air),
        last.duration,
        cold,
        _own_gauge(refrigerant, side, air),
        documented=bool(fields.maker_document),
        coldest=_gauge(coldest, air),
    )


def _superseded(
    context: RequestContext, test: PressureTest, body: RestartRequest, side: evidence.Side
) -> Iterator[Evidence]:
    """What a test that was done again leaves behind: what it strained, and the joint that leaked."""
    yield from _stress(context, test, body, side)
    again = any(not other.superseded and other.side in (side, "whole") for other in body.tests.pressure_tests)
    if again:
        said = f"{side} side: what leaked was mended and tested again: look at that joint first"
        yield Evidence(f"standing pressure test, {side} side", "passed", "an earlier test, done again", said)


def _own_gauge(refrigerant: str | None, side: evidence.Side, air: float) -> tuple[float, float] | None:
    own = None if refrigerant is None else own_design_pressures(refrigerant, side)
    return None if own is None else (own[0] - air, own[1] - air)


def _gauge(pressure: float | None, air: float) -> float | None:
    return None if pressure is None else pressure - air


def _stress(
    context: RequestContext, test: PressureTest, body: RestartRequest, side: evidence.Side
) -> Iterator[Evidence]:
    """Against the least nameplate figure of the side; without one, against what any condenser reaches.

    Both sides against the one of the condenser: low sides are built for it where a plant reverses.
    """
    plate, refrigerant = least_plate(context, body, side), with_properties(body.machine.refrigerant)
    usual = None if refrigerant is None else hottest_pressure(refrigerant)
    if pressure_bounds.low_pressure_chiller(body.machine.compressor, refrigerant):
        usual = pressure_bounds.TABLE().chiller.disc + test.air_pressure
    allowable = _gauge(usual if plate is None else plate, test.air_pressure)
    yield from pressure_bounds.of_stress(side, test, allowable, named=plate is not None)
