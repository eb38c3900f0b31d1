"""Pressures that a plant was not proved for: a switch above them, a test that overstressed it, a short hold that lost.

Pressures in Pa, gauge or absolute as said; temperatures in K.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.tightness.pressure_test import PressureTest, PressureTestResult
from witnessmark.calculations.tightness.pressure_test_table import TABLE as PRESSURE_TEST
from witnessmark.reference import SourceId
from witnessmark.refrigerants.low_pressure import is_low_pressure
from witnessmark.restart.cutouts import Cutout
from witnessmark.restart.evidence import DAY, Evidence, Side
from witnessmark.vocabulary import Compressor


class PipeRules(data.Row):
    """Temperatures, K, between which a pipe in the shade of any plant is."""

    coldest: float
    hottest: float
    source: SourceId


class SiteRule(data.Row):
    """Air pressure, Pa, below which no plant stands."""

    thinnest: float
    source: SourceId


class ShortHold(data.Row):
    """Share of the gas a day from which a loss that is seen, though not proved, asks for a longer hold."""

    per_day: float
    source: SourceId


class ChillerTest(data.Row):
    """Of a chiller of low pressure, Pa gauge: what its leak test stands at, and where its rupture disc opens."""

    tested: float
    disc: float
    source: SourceId


class PressureBounds(data.Row):
    """The data file."""

    pipe: PipeRules
    site: SiteRule
    short_hold: ShortHold
    chiller: ChillerTest


FINER = "give the barometer of the site, or the uncertainty of a finer gauge"
TABLE = data.table(__package__, "pressure_bounds.toml", PressureBounds)


@dataclass(frozen=True, slots=True)
class Ceiling:
    """What a high-pressure switch may not stand above, Pa absolute; None where not known.

    tested: at which the high side stood. derived: what the coolest and the hottest of the design temperatures make of
    the refrigerant, where no nameplate was given.
    """

    tested: float | None = None
    derived: tuple[float, float] | None = None


def of_ceiling(switch: Cutout, ceiling: Ceiling) -> Iterator[Evidence]:
    """What speaks against a high-pressure switch that stands above what the plant was proved for.

    Its setting counts as well as where it opened. Example: 9 MPa where the high side stood at 3.45 MPa. Without a
    nameplate the hottest of the design temperatures bounds it, until the nameplate's figure is given; above the coolest
    the nameplate is to be read.
    """
    if switch.side == "low":
        return
    origin, highest = "high-pressure switch", max(switch.setting, switch.opened or 0.0)
    if ceiling.tested is not None and highest > ceiling.tested:
        yield Evidence(origin, "failed", "it stands above the pressure at which the high side was tested")
    if ceiling.derived is None or highest <= ceiling.derived[0]:
        return
    said = "it stands above the design pressure that the refrigerant's design temperature makes"
    if highest > ceiling.derived[1]:
        yield Evidence(origin, "missing", f"{said}: give the nameplate's design pressure")
    else:
        yield Evidence(origin, "passed", said, f"high-pressure switch: {said}: read the nameplate again")


def of_stress(side: Side, test: PressureTest, allowable: float | None, *, named: bool) -> Iterator[Evidence]:
    """What a side owes to the highest pressure that it stood at. allowable: design pressure, Pa gauge; named: given.

    Beyond what any test with gas is, the parts were overstressed; beyond the strength tests of standards they have to
    be looked at. Example: 900 psig in a plant for 450 psig. Source: test-pressure-ceiling.
    """
    if allowable is None or allowable <= 0:
        return
    factors, origin = PRESSURE_TEST().factors, f"pressure of the {side} side"
    doubt = COVERAGE * max(stage.start_pressure.uncertainty for stage in test.stages)
    times = (test.highest - doubt - test.air_pressure) / allowable
    whose = "its design pressure" if named else "what any condenser reaches with this refrigerant"
    if times > factors.far_above:
        detail = f"it stood at {times:.2g} times {whose}: overstressed, shells, coils and glasses are to be looked at"
        yield Evidence(origin, "failed", detail)
    elif times > factors.strength:
        detail = f"{side} side: it stood at {times:.2g} times {whose}: look at shells, coils and glasses"
        yield Evidence(origin, "passed", "no more than a strength test of a vessel", detail)


def low_pressure_chiller(compressor: Compressor, refrigerant: str | None) -> bool:
    """Whether a rupture disc keeps its tests far below the design pressures of other plants."""
    return compressor == "centrifugal" and refrigerant is not None and is_low_pressure(refrigerant)


def of_chiller(side: Side, stood: float) -> Evidence:
    """What the leak test of a chiller of low pressure is worth. stood: Pa gauge.

    >>> [of_chiller("low", stood).outcome for stood in (60e3, 20e3)]
    ['passed', 'missing']
    """
    rule, origin = TABLE().chiller, f"standing pressure test, {side} side"
    tested, disc = rule.tested / 1e3, rule.disc / 1e3
    if stood < rule.tested:
        detail = (
            f"stood at {stood / 1e3:.3g} kPa gauge; a chiller of low pressure is tested from {tested:.3g} kPa, well "
            f"below the {disc:.3g} kPa at which its rupture disc opens"
        )
        return Evidence(origin, "missing", detail)
    owed = (
        f"{side} side: the rupture disc allows no more than this leak test; the standing vacuum has to prove the rest"
    )
    return Evidence(origin, "passed", "stood as a chiller of low pressure is tested", owed)


def of_short_hold(side: Side, test: PressureTest, result: PressureTestResult) -> Iterator[Evidence]:
    """A loss within a hold of less than a day that is more than the instruments make, and much for a day.

    Example: 500 to 498.5 psig in one hour is 7 % a day: no proof of a leak, and none of tightness.
    """
    last = result.stages[-1]
    per_day = TABLE().short_hold.per_day
    lost = last.loss.value > last.loss.uncertainty and last.loss_per_day > per_day
    if test.stages[-1].duration < DAY and lost and result.verdict in ("hold disputed", "no loss seen"):
        detail = f"it fell by what would be {last.loss_per_day:.1%} of the gas a day: let it stand for longer"
        yield Evidence(f"standing pressure test, {side} side", "undecided", detail)


def of_coarse(side: Side, test: PressureTest, result: PressureTestResult) -> Iterator[Evidence]:
    """What would decide, where the instruments show no loss as small as the one that has to be ruled out.

    Example: a chiller tested at 10 psig, where the weather alone moves a gauge by 1 % of the pressure in a day.
    """
    if result.verdict != "cannot tell":
        return
    last = result.stages[-1]
    seen = last.smallest_visible_loss / test.stages[-1].start_pressure.value
    detail = f"these instruments show a loss of {seen:.1%} of the gas, it takes {result.sensitivity:.1%}: {FINER}"
    yield Evidence(f"standing pressure test, {side} side", "undecided", detail)


def of_slips(test: PressureTest) -> Iterator[Evidence]:
    """Temperatures that no pipe in the shade has: another unit.

    Example: 72 degC for 72 degF, at the start and at the end.
    """
    pipe = TABLE().pipe
    for stage in test.stages:
        for temperature in (stage.start_temperature, stage.end_temperature):
            if not _within(temperature, pipe.coldest, pipe.hottest):
                said = f"{temperature.value - 273.15:.0f} degC is no pipe in the shade: another unit, or a slip"
                yield Evidence("standing pressure test", "conflicting", said)
                return


def of_air(air_pressure: float) -> Iterator[Evidence]:
    """A contradiction where no plant stands so high. air_pressure: of the site, Pa.

    >>> [e.outcome for pressure in (78e3, 30e3) for e in of_air(pressure)]
    ['conflicting']
    """
    if air_pressure < TABLE().site.thinnest:
        yield Evidence("site", "conflicting", "no plant stands so high: altitude in another unit, or a slip")


def _within(value: Measured, low: float, high: float) -> bool:
    reach = COVERAGE * value.uncertainty
    return low - reach <= value.value <= high + reach
