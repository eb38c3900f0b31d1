"""Charge, velocity and static loss of runs of pipe.

Properties: the R-410A equation of Lemmon, Int. J. Thermophys. 24 (2003) 991, evaluated once by itself.
"""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.circuit.line_charge import (
    Content,
    LineCharge,
    Segment,
    line_charge,
    mixture_density,
    void_fraction,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError, OutOfRangeError
from witnessmark.refrigerants import saturation

BORE, TEN = Measured(0.0079, 5e-5), Measured(10.0, 0.1)
WARM, COLD = Measured(313.15, 1.0), Measured(278.15, 1.0)


def one(content: Content, flow: Measured | None = None, rise: float = 0.0) -> LineCharge:
    return line_charge("R-410A", [Segment(BORE, TEN, content, Measured(rise))], flow)


def test_liquid_is_density_times_volume_with_uncertainty() -> None:
    (found,) = one(Content("liquid", WARM)).segments
    assert found.density.value == pytest.approx(975.716, rel=1e-5)
    assert found.per_length.value == pytest.approx(0.047826, rel=1e-4), "975.716 · pi/4 · (7.9 mm)²"
    assert found.charge.value == pytest.approx(0.47826, rel=1e-4)
    relative = found.charge.uncertainty / found.charge.value
    assert relative > math.hypot(2 * 5e-5 / 0.0079, 0.01)
    assert found.velocity is None


def test_subcooled_liquid_under_pressure_is_a_little_denser() -> None:
    (saturated,) = one(Content("liquid", WARM)).segments
    (pressed,) = one(Content("liquid", WARM, Measured(3.5e6, 1e4))).segments
    assert saturated.density.value < pressed.density.value < 1.02 * saturated.density.value


def test_superheated_vapour_is_thinner_than_saturated() -> None:
    (saturated,) = one(Content("vapour", COLD)).segments
    (hot,) = one(Content("vapour", Measured(290.0, 1.0), Measured(933_176.2, 1e4))).segments
    assert hot.density.value == pytest.approx(33.0517, rel=1e-5)
    assert hot.density.value < saturated.density.value


def test_two_phases_lie_between_gas_and_liquid_and_hold_more_than_homogeneous() -> None:
    content = Content("two-phase", COLD, quality=Measured(0.2, 0.02))
    (found,) = one(content).segments
    liquid = float(saturation.liquid_density("R-410A", COLD.value))
    gas = float(saturation.vapour_density("R-410A", COLD.value))
    assert mixture_density(0.2, liquid, gas, 1.0) < found.density.value < liquid
    assert found.density.uncertainty > 0.1 * found.density.value
    pressure = Measured(936_206.6)
    (same,) = one(Content("two-phase", pressure=pressure, quality=Measured(0.2, 0.02))).segments
    assert same.density.value == pytest.approx(found.density.value, rel=1e-6)


def test_an_exact_bore_leaves_the_interval_of_the_density_as_it_is() -> None:
    """Density, charge per metre and charge are one number on three scales: so are their (here lopsided) intervals."""
    content = Content("two-phase", COLD, quality=Measured(0.03, 0.02))
    (found,) = line_charge("R-410A", [Segment(Measured(BORE.value), Measured(10.0), content)]).segments
    assert found.density.method == "random draws"
    for scaled, factor in (
        (found.per_length, math.pi / 4 * BORE.value**2),
        (found.charge, 10 * math.pi / 4 * BORE.value**2),
    ):
        assert scaled.low == pytest.approx(found.density.low * factor, rel=0.05)
        assert scaled.high == pytest.approx(found.density.high * factor, rel=0.05)


def test_two_phase_quality_near_the_end_is_drawn_at_random() -> None:
    (found,) = one(Content("two-phase", COLD, quality=Measured(0.01, 0.02))).segments
    assert found.density.method == "random draws"
    assert found.density.high <= float(saturation.liquid_density("R-410A", COLD.value - 5))


@pytest.mark.parametrize("exponent", [2 / 3, 1.0])
def test_void_fraction_ends(exponent: float) -> None:
    assert void_fraction(0.0, 0.03, exponent) == 0.0
    assert void_fraction(1.0, 0.03, exponent) == 1.0


def test_velocity() -> None:
    flow = Measured(0.05, 0.001)
    (liquid,) = one(Content("liquid", WARM), flow).segments
    (wet,) = one(Content("two-phase", COLD, quality=Measured(0.2)), flow).segments
    assert liquid.velocity is not None
    assert wet.velocity is not None
    assert liquid.velocity.value == pytest.approx(0.05 / (liquid.per_length.value))
    gas = float(saturation.vapour_density("R-410A", COLD.value))
    area = math.pi / 4 * BORE.value**2
    assert 0.2 * 0.05 / (gas * area) < wet.velocity.value < 0.05 / (gas * area)


def test_rise_costs_pressure_and_subcooling() -> None:
    (flat,) = one(Content("liquid", WARM)).segments
    (up,) = one(Content("liquid", WARM), rise=10.0).segments
    (vapour,) = one(Content("vapour", COLD), rise=10.0).segments
    assert flat.static_pressure is None
    assert vapour.subcooling_lost is None
    assert up.static_pressure is not None
    assert up.subcooling_lost is not None
    assert up.static_pressure.value == pytest.approx(up.density.value * 9.80665 * 10)
    slope = 58_843.2  # (p(41 degC) - p(39 degC)) / 2 K on the bubble line
    assert up.subcooling_lost.value == pytest.approx(975.716 * 9.80665 * 10 / slope, rel=2e-4)


def test_sum() -> None:
    segment = Segment(BORE, TEN, Content("liquid", WARM))
    found = line_charge("R-410A", [segment, segment])
    assert found.total.value == pytest.approx(2 * found.segments[0].charge.value)
    assert found.total.uncertainty == pytest.approx(math.sqrt(2) * found.segments[0].charge.uncertainty)


X = Measured(0.2)
FAULTS = [
    (Segment(Measured(2.0), TEN, Content("liquid", WARM)), "segments.0.bore"),
    (Segment(BORE, Measured(-1.0), Content("liquid", WARM)), "segments.0.length"),
    (Segment(BORE, TEN, Content("liquid", WARM), Measured(math.nan)), "segments.0.rise"),
    (Segment(BORE, TEN, Content("liquid")), "segments.0.temperature"),
    (Segment(BORE, TEN, Content("vapour", Measured(500.0))), "segments.0.temperature"),
    (Segment(BORE, TEN, Content("two-phase", quality=X)), "segments.0.pressure"),
    (Segment(BORE, TEN, Content("two-phase", pressure=Measured(9e9), quality=X)), "segments.0.pressure"),
    (Segment(BORE, TEN, Content("two-phase", COLD)), "segments.0.quality"),
    (Segment(BORE, TEN, Content("two-phase", COLD, quality=Measured(1.2))), "segments.0.quality"),
    (Segment(BORE, TEN, Content("liquid", WARM, quality=X)), "segments.0.quality"),
]


@pytest.mark.parametrize(("segment", "field"), FAULTS)
def test_faults_name_the_field(segment: Segment, field: str) -> None:
    with pytest.raises(InputError) as caught:
        line_charge("R-410A", [segment])
    assert caught.value.field == field


def test_empty_list_and_impossible_flow() -> None:
    with pytest.raises(InputError, match="segments"):
        line_charge("R-410A", [])
    with pytest.raises(OutOfRangeError, match="mass_flow"):
        one(Content("liquid", WARM), Measured(-0.1))


RANGES = [
    (Segment(Measured(1e-4), TEN, Content("liquid", WARM)), "segments.0.bore", (5e-4, 1.0, "length")),
    (Segment(BORE, Measured(2e4), Content("liquid", WARM)), "segments.0.length", (0.0, 1e4, "length")),
    (Segment(BORE, TEN, Content("liquid", WARM), Measured(2e3)), "segments.0.rise", (-1e3, 1e3, "length")),
    (
        Segment(BORE, TEN, Content("two-phase", COLD, quality=Measured(-0.1))),
        "segments.0.quality",
        (0.0, 1.0, "number"),
    ),
]


@pytest.mark.parametrize(("segment", "field", "ends"), RANGES)
def test_a_number_out_of_range_is_told_the_range(segment: Segment, field: str, ends: tuple[float, float, str]) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        line_charge("R-410A", [segment])
    assert (caught.value.field, (caught.value.low, caught.value.high, caught.value.dimension)) == (field, ends)


def test_a_flow_out_of_range_is_told_the_range() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        one(Content("liquid", WARM), Measured(2e4))
    assert (caught.value.low, caught.value.high, caught.value.dimension) == (0.0, 1e4, "mass_flow")


@pytest.mark.parametrize(("rise", "pascals"), [(-1.0, -9568.6), (1e-3, 9.5686), (0.0, None)])
def test_any_rise_or_fall_of_liquid_counts(rise: float, pascals: float | None) -> None:
    """By hand: 975.716 kg/m3 · 9.806 65 m/s2 · rise; liquid that runs down gains pressure."""
    (found,) = one(Content("liquid", WARM), rise=rise).segments
    assert (found.static_pressure and found.static_pressure.value) == (pascals and pytest.approx(pascals, rel=1e-4))
    assert (found.subcooling_lost is None) == (pascals is None)


@pytest.mark.parametrize("rise", [20.0, -20.0, 10.3])
def test_a_run_rises_by_no_more_than_its_length(rise: float) -> None:
    with pytest.raises(ConflictError) as caught:
        one(Content("liquid", WARM), rise=rise)
    assert caught.value.fields == ("segments.0.rise", "segments.0.length")
    assert one(Content("liquid", WARM), rise=10.1).segments  # upright, as far as the length is known
