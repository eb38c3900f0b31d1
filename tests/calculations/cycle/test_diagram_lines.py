"""The lines of the picture are where the states are."""

import numpy as np
import pytest

from witnessmark.calculations.cycle.diagram_lines import CUSTOMARY, DOME, METRIC, MOST_ISENTROPES, Grid, lines_of
from witnessmark.refrigerants import catalogue, saturation, states


@pytest.mark.parametrize("designation", ["R-134a", "R-410A", "R-448A", "R-744"])
def test_every_point_of_a_line_has_the_value_of_the_line(designation: str) -> None:
    """Back from (pressure, enthalpy) to temperature or entropy: another way through the equations."""
    lines = lines_of(designation)
    for line in lines.isotherms[::3]:
        for h, p in zip(line.enthalpy[::4].tolist(), line.pressure[::4].tolist(), strict=True):
            if np.isfinite(h):
                assert states.at_enthalpy(designation, p, h).temperature == pytest.approx(line.value, abs=0.02)
    for line in lines.isentropes[::3]:
        for h, p in zip(line.enthalpy[::4].tolist(), line.pressure[::4].tolist(), strict=True):
            if np.isfinite(h):
                assert states.at_enthalpy(designation, p, h).entropy == pytest.approx(line.value, abs=0.1)


def test_the_dome_goes_over_the_top_and_back() -> None:
    dome = lines_of("R-32").dome
    top = int(np.argmax(dome.pressure))
    assert np.all(np.diff(dome.pressure[: top + 1]) > 0)
    assert dome.pressure[0] == pytest.approx(dome.pressure[-1])
    assert dome.enthalpy[0] < dome.enthalpy[-1]
    bubble = saturation.bubble_temperature("R-32", float(dome.pressure[10]))
    liquid = states.liquid("R-32", float(dome.pressure[10]) * 1.0001, float(bubble))
    assert dome.enthalpy[10] == pytest.approx(liquid.enthalpy, rel=1e-4)
    assert np.max(dome.pressure) > 0.9 * catalogue.get("R-32").critical_pressure


@pytest.mark.parametrize(("grid", "step"), [(METRIC, 20.0), (CUSTOMARY, 40 / 1.8)])
def test_isotherms_stand_at_round_temperatures(grid: Grid, step: float) -> None:
    values = [line.value for line in lines_of("R-290", grid).isotherms]
    assert np.diff(values) == pytest.approx(step)
    assert all(abs((v - grid.offset) / step - round((v - grid.offset) / step)) < 1e-9 for v in values)


@pytest.mark.parametrize("designation", ["R-134a", "R-717"])
def test_isentropes_are_few(designation: str) -> None:
    """Ammonia spans four times the entropy of the others: its step grows."""
    values = [line.value for line in lines_of(designation).isentropes]
    assert 4 < len(values) <= MOST_ISENTROPES + 1


def test_lines_are_kept() -> None:
    assert lines_of("R-134a") is lines_of("R-134a")


def test_where_there_is_no_state_the_line_has_a_gap() -> None:
    """Isentropes of low entropy end inside the dome, those of high entropy beyond the hottest gas."""
    assert any(np.isnan(line.enthalpy).any() for line in lines_of("R-717").isentropes)
    assert not any(np.isnan(line.enthalpy).all() for line in lines_of("R-717").isentropes)


@pytest.mark.parametrize("designation", ["R-410A", "R-448A", "R-744"])
def test_the_top_of_the_dome_is_not_shown_as_computed(designation: str) -> None:
    """The dome stops short of critical on both sides; what closes it runs from one computed end to the other."""
    lines = lines_of(designation)
    gap = np.flatnonzero(np.isnan(lines.dome.enthalpy))
    assert gap.tolist() == [DOME]
    assert lines.top().enthalpy.tolist() == lines.dome.enthalpy[[DOME - 1, DOME + 1]].tolist()
    assert lines.top().enthalpy[0] < lines.top().enthalpy[1]
    assert lines.top().pressure.tolist() == [np.max(lines.dome.pressure)] * 2


@pytest.mark.parametrize(
    ("pressure", "liquid", "vapour"),
    [(0.11014e6, 117.22e3, 497.27e3), (0.8131e6, 200.00e3, 515.30e3), (3.1412e6, 297.49e3, 507.10e3)],
)
def test_the_dome_goes_through_published_states(pressure: float, liquid: float, vapour: float) -> None:
    """R-32 at -50, 0 and 50 degC: Tillner-Roth and Yokozeki, J. Phys. Chem. Ref. Data 26 (1997), table 12."""
    dome = lines_of("R-32").dome
    top = int(np.argmax(dome.pressure))
    sides = (slice(None, top + 1), slice(None, top - 1, -1))
    for side, enthalpy in zip(sides, (liquid, vapour), strict=True):
        drawn = np.interp(np.log(pressure), np.log(dome.pressure[side]), dome.enthalpy[side])
        assert drawn == pytest.approx(enthalpy, abs=100.0)


@pytest.mark.parametrize("designation", ["R-410A", "R-744", "R-717", "R-448A", "R-32"])
@pytest.mark.parametrize("grid", [METRIC, CUSTOMARY])
def test_no_isotherm_starts_in_mid_air(designation: str, grid: Grid) -> None:
    """R-410A at 160 degF lies within a kelvin of critical: where a part cannot be computed the line is left out."""
    lines = lines_of(designation, grid)
    for end in (0, -1):
        pressures = [float(line.pressure[end]) for line in lines.isotherms]
        assert pressures == pytest.approx([pressures[0]] * len(pressures))
    assert not any(np.isnan(line.enthalpy).any() for line in lines.isotherms)


def test_isotherms_do_not_bend_away_from_the_dome() -> None:
    """Between two points the straight stroke of R-410A near critical misses the true line by less than its own width.

    1.5 kJ/kg is some half a per cent of the picture's width: checked at the middle of every stroke.
    """
    for line in lines_of("R-410A").isotherms:
        gas = np.flatnonzero(line.pressure < float(saturation.dew_pressure("R-410A", 273.15 + 60)))[-40:]
        for a, b in zip(gas[:-1:4], gas[1::4], strict=True):
            middle = float(np.sqrt(line.pressure[a] * line.pressure[b]))
            true = states.gas("R-410A", middle, line.value).enthalpy
            assert abs((line.enthalpy[a] + line.enthalpy[b]) / 2 - true) < 1500.0


@pytest.mark.parametrize("designation", ["R-410A", "R-744"])
def test_isotherms_of_hotter_gas_bend_without_corners(designation: str) -> None:
    """As above, from 0.7 to 2 times the critical pressure, where gas hotter than critical turns dense."""
    critical = catalogue.get(designation).critical_pressure
    hot = [
        line for line in lines_of(designation).isotherms if line.value > catalogue.get(designation).critical_temperature
    ]
    for line in hot[:3]:
        near = np.flatnonzero((line.pressure > 0.7 * critical) & (line.pressure < 2 * critical))
        for a, b in zip(near[:-1:3], near[1::3], strict=False):
            middle = float(np.sqrt(line.pressure[a] * line.pressure[b]))
            true = states.gas(designation, middle, line.value).enthalpy
            assert abs((line.enthalpy[a] + line.enthalpy[b]) / 2 - true) < 500.0
