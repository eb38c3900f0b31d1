"""What a machine always does is no excuse: logs of hours without a sound stretch, and columns that hold nothing."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from fastapi.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.refrigerants import saturation

CLIENT = TestClient(app)
AIR = 1.013e5
HEADERS = {
    "Ps": ("suction_pressure", "kPag"),
    "Pd": ("discharge_pressure", "kPag"),
    "Ts": ("suction_temperature", "degC"),
    "Td": ("discharge_temperature", "degC"),
    "Tl": ("liquid_temperature", "degC"),
    "Ta": ("ambient_temperature", "degC"),
}


def gauge(dew: float) -> float:
    """KPa above the air at which R-410A has this dew temperature, degC."""
    return (saturation.dew_pressure("R-410A", dew + 273.15) - AIR) / 1e3


def log(  # noqa: PLR0913 - a state of the machine
    superheat: float,
    discharge: float,
    *,
    ran: int = 1,
    blank: dict[str, str] | None = None,
    evaporating: float = 6.0,
    condensing: float = 45.0,
    air: float = 32.0,
) -> str:
    """Four hours of an air conditioner that evaporates at 6 and condenses at 45 degC, a row a minute."""
    drawn, rows = np.random.default_rng(1), ["time,Ps,Pd,Ts,Td,Tl,Ta,Run"]
    for minute in range(240):
        values = (
            gauge(evaporating), gauge(condensing), evaporating + superheat, discharge, condensing - 6.0, air
        )  # fmt: skip
        spread = {name: 5.0 if unit == "kPag" else 0.2 for name, (_, unit) in HEADERS.items()}
        read = {
            name: f"{value + drawn.normal(0, spread[name]):.1f}" for name, value in zip(HEADERS, values, strict=True)
        }
        cells = (read | (blank or {})).values()
        rows.append(f"2026-07-14T{10 + minute // 60}:{minute % 60:02},{','.join(cells)},{ran}")
    return "\n".join(rows)


def assessed(table: str) -> dict[str, Any]:
    columns = [{"header": name, "quantity": of, "unit": unit} for name, (of, unit) in HEADERS.items()]
    body = {
        "refrigerant": "R-410A", "time_column": "time", "time_zone": "Europe/Madrid",
        "columns": [*columns, {"header": "Run", "quantity": "running"}],
        "machine": {"compressor": "scroll", "application": "air-conditioning"}, "log": {"csv": table},
    }  # fmt: skip
    answer = CLIENT.post("/v1/trend-log", json=body)
    assert answer.status_code == 200
    result: dict[str, Any] = answer.json()["result"]
    return result


def kinds(result: dict[str, Any]) -> list[str]:
    return [one["kind"] for one in result["episodes"]]


def test_a_sound_one_is_left_in_peace() -> None:
    assert assessed(log(7.0, 72.0))["verdict"] == "nothing found"


@pytest.mark.parametrize("discharge", [112.0, 118.0, 125.0, 130.0, 140.0])
def test_a_discharge_that_always_stands_where_oil_breaks_down_is_told(discharge: float) -> None:
    assert kinds(assessed(log(20.0, discharge))) == ["high-discharge-temperature"]


@pytest.mark.parametrize("discharge", [95.0, 104.0])
def test_a_discharge_below_its_limit_is_none(discharge: float) -> None:
    assert kinds(assessed(log(20.0, discharge))) == []


def test_a_ratio_that_always_stands_beyond_its_limit_is_told() -> None:
    """9.3 of R-410A, where 8 is the most that any source allows of an air conditioner."""
    found = assessed(log(12.0, 100.0, evaporating=-22.0, condensing=52.0))
    assert "high-ratio" in kinds(found)


def test_a_condenser_that_always_stands_far_over_the_air_is_told() -> None:
    found = assessed(log(10.0, 95.0, condensing=60.0, air=27.0))
    (episode,) = [one for one in found["episodes"] if one["kind"] == "high-ratio"]
    assert episode["readings"][0]["value"] == pytest.approx(33.0, abs=1.0)
    assert "condensing-pressure" in {one["finding"] for one in found["findings"]}


def test_head_held_up_in_the_cold_is_none() -> None:
    """Condensing at 30 degC over air of -5 degC: a head-pressure control does that."""
    assert kinds(assessed(log(8.0, 62.0, condensing=30.0, air=-5.0))) == []


def test_liquid_that_always_comes_is_told_though_no_dry_hour_was_seen() -> None:
    """1 K of superheat, and a discharge colder than any compressor leaves dry gas (isentropic: some 62 degC)."""
    assert kinds(assessed(log(1.0, 58.0))) == ["liquid-returning"]


def test_a_compressor_that_never_ran_is_judged_in_nothing() -> None:
    result = assessed(log(0.0, 20.0, ran=0))
    assert result["verdict"] == "cannot tell"
    looked = {row["kind"] for row in result["watched"] if row["looked"]}
    assert looked <= {"high-head-pressure", "sensor-stuck", "sensors-swapped", "sensor-drop-out"}


@pytest.mark.parametrize("column", [*HEADERS])
@pytest.mark.parametrize("held", ["", "NaN"])
def test_a_column_that_holds_nothing_takes_nothing_from_the_rest(column: str, held: str) -> None:
    assert assessed(log(7.0, 72.0, blank={column: held}))["episodes"] == []


def test_a_header_that_names_another_unit_is_refused() -> None:
    table = log(7.0, 72.0).replace("Ps,", "Ps [psig],", 1)
    headers = {("Ps [psig]" if name == "Ps" else name): of for name, of in HEADERS.items()}
    columns = [{"header": name, "quantity": of, "unit": unit} for name, (of, unit) in headers.items()]
    body = {
        "refrigerant": "R-410A", "time_column": "time", "time_zone": "Europe/Madrid", "columns": columns,
        "machine": {"compressor": "scroll", "application": "air-conditioning"}, "log": {"csv": table},
    }  # fmt: skip
    answer = CLIENT.post("/v1/trend-log", json=body)
    assert answer.status_code == 422
    assert "psig" in answer.text
    columns[0]["unit"] = "psig"
    assert CLIENT.post("/v1/trend-log", json=body).status_code == 200
