"""A column of readings is judged as each of them alone, to the last bit."""

from typing import Any

import numpy as np
import pytest

from witnessmark.arithmetic import Array
from witnessmark.calculations.circuit import margin_columns as columns
from witnessmark.calculations.circuit import superheat as single
from witnessmark.calculations.circuit.superheat import MarginMachine, limits_for
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import saturation

ROWS = 400
MACHINES = [
    MarginMachine(),
    MarginMachine("scroll", "air-conditioning", "electronic-valve"),
    MarginMachine("reciprocating", metering="float"),
    MarginMachine("centrifugal", maker=(2.0, None)),
    MarginMachine("screw"),
    MarginMachine("scroll", "air-conditioning", "fixed-orifice"),
]


def readings(designation: str, side: saturation.Side) -> columns.Readings:
    """Pressures over the whole range, temperatures about saturation on both sides, some exactly at it."""
    generator = np.random.default_rng(3)
    low, high = saturation.pressure_range(designation, side)
    pressure = np.exp(generator.uniform(np.log(low * 1.01), np.log(high * 0.99), ROWS))
    temperature = saturation.curve(designation, side).temperature(pressure) + generator.normal(5, 15, ROWS)
    temperature[:20] = saturation.curve(designation, side).temperature(pressure[:20])
    widths = generator.choice([0.0, 0.1, 0.7], ROWS), generator.choice([0.0, 500.0, 2e4], ROWS)
    return columns.Readings(pressure, widths[1], temperature, widths[0])


def at_limits(rows: columns.Readings, limits: tuple[single.Band, ...], side: saturation.Side) -> columns.Readings:
    """The same with the margin, less or plus two uncertainties, at one of the limits but for the last bits."""
    ends = [end for band in limits for end in (band.low, band.high) if end is not None] or [0.0]
    near = saturation.curve("R-407C", side).temperature(rows.pressure)
    wanted = np.resize(np.array(ends), ROWS)
    sign = 1.0 if side == "dew" else -1.0
    return columns.Readings(rows.pressure, np.zeros(ROWS), near + sign * wanted, np.zeros(ROWS))


def alone(rows: columns.Readings, ask: Any) -> list[single.Margin]:
    cells = (rows.pressure, rows.pressure_uncertainty, rows.temperature, rows.temperature_uncertainty)
    return [
        ask(Measured(p, pu), Measured(t, tu)) for p, pu, t, tu in zip(*(cell.tolist() for cell in cells), strict=True)
    ]


def same(found: columns.Margins, wanted: list[single.Margin]) -> None:
    def column(name: str, part: str) -> Array:
        return np.array([getattr(getattr(one, name), part) for one in wanted])

    assert np.array_equal(found.saturation_temperature, column("saturation_temperature", "value"))
    assert np.array_equal(found.saturation_uncertainty, column("saturation_temperature", "uncertainty"))
    assert np.array_equal(found.margin, column("margin", "value"))
    assert np.array_equal(found.margin_uncertainty, column("margin", "uncertainty"))
    assert [columns.VERDICTS[code] for code in found.verdict] == [one.verdict for one in wanted]
    assert [columns.PHASES[code] for code in found.phase] == [one.phase for one in wanted]
    assert (found.limits, found.lower_limit, found.upper_limit) == (
        wanted[0].bands, wanted[0].lower_limit, wanted[0].upper_limit,
    )  # fmt: skip
    hot = single.bands().reasons[found.hot]
    assert found.too_hot.tolist() == [one.likely_reasons == hot for one in wanted]
    kept, why = single.bands().reasons, columns.why_unsure(found)
    keys = ("at-a-limit", *found.differ)
    for one, code, none in zip(wanted, why.tolist(), found.to_vacuum.tolist(), strict=True):
        if code and not none:
            assert one.likely_reasons == kept[keys[code - 1]]
    reasons = {one.likely_reasons for one in wanted if one.verdict == "cannot both be right"}
    assert reasons <= {found.likely_reasons}


@pytest.mark.parametrize("machine", MACHINES, ids=range(len(MACHINES)))
@pytest.mark.parametrize("place", ["suction", "discharge", "sump"])
@pytest.mark.parametrize("edge", [False, True], ids=["anywhere", "at limits"])
def test_superheat(place: str, machine: MarginMachine, edge: bool) -> None:  # noqa: FBT001
    rows = readings("R-407C", "dew")
    rows = at_limits(rows, limits_for(place, machine), "dew") if edge else rows
    found = columns.superheat("R-407C", rows, place, machine)
    same(found, alone(rows, lambda p, t: single.superheat("R-407C", p, t, place, machine)))


@pytest.mark.parametrize("machine", MACHINES, ids=range(len(MACHINES)))
@pytest.mark.parametrize("edge", [False, True], ids=["anywhere", "at limits"])
def test_subcooling(machine: MarginMachine, edge: bool) -> None:  # noqa: FBT001
    rows = readings("R-407C", "bubble")
    rows = at_limits(rows, limits_for("liquid", machine), "bubble") if edge else rows
    found = columns.subcooling("R-407C", rows, machine)
    same(found, alone(rows, lambda p, t: single.subcooling("R-407C", p, t, machine)))


def test_every_verdict_and_phase_was_seen() -> None:
    rows = readings("R-407C", "dew")
    verdicts = {
        columns.VERDICTS[code]
        for place in ("suction", "discharge")
        for machine in MACHINES
        for code in columns.superheat("R-407C", rows, place, machine).verdict
    }
    assert verdicts >= {"below", "within", "above", "cannot tell", "cannot both be right"}


def test_no_limit_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(columns, "limits_for", lambda *_: ())
    found = columns.superheat("R-134a", readings("R-134a", "dew"), "sump")
    assert {columns.VERDICTS[code] for code in found.verdict} == {"no limit known"}
    assert found.lower_limit is found.upper_limit is None


def test_a_row_outside_the_curve_is_refused() -> None:
    rows = readings("R-134a", "dew")
    rows.pressure[7] = 1e9
    with pytest.raises(OutOfRangeError, match="pressure"):
        columns.superheat("R-134a", rows)


def test_no_rows() -> None:
    none = columns.Readings(*(np.empty(0) for _ in range(4)))
    assert columns.superheat("R-134a", none).margin.size == 0
    assert columns.subcooling("R-134a", none).verdict.size == 0
