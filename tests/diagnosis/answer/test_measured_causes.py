"""What measures a cause outright speaks like it: supply, unbalance, capacitors; and what the verdict says of it."""

from __future__ import annotations

from typing import Any

import pytest
from fastapi.testclient import TestClient

from witnessmark.api.app import app

CLIENT = TestClient(app)
THREE = {"compressor": "scroll", "phases": "three-phase"}
ONE = {"compressor": "reciprocating", "phases": "single-phase"}
NOT_FOUND_AMONG_THE_ANSWERS = 0.0


def of(value: float, unit: str) -> dict[str, Any]:
    return {"value": value, "unit": unit}


def asked(machine: dict[str, str], *findings: str, **readings: Any) -> dict[str, Any]:
    told = [{"finding": finding, "state": "present"} for finding in findings]
    body = {"machine": machine, "readings": readings, "findings": told}
    answer: dict[str, Any] = CLIENT.post("/v1/diagnosis", json=body).json()["result"]
    return answer


def cause(answer: dict[str, Any], key: str) -> float:
    return next(
        (float(one["probability"]) for one in answer["causes"] if one["id"] == key), NOT_FOUND_AMONG_THE_ANSWERS
    )


def at_lines(*volts: float, **beside: Any) -> dict[str, Any]:
    return asked(THREE, line_voltages=[of(v, "V") for v in volts], rated_voltage=of(400, "V"), running=True, **beside)


@pytest.mark.parametrize("volts", [(400.0, 430.0, 370.0), (400.0, 422.0, 378.0), (400.0, 416.0, 384.0)])
def test_an_unbalance_that_is_measured_is_the_cause_though_the_mean_is_right(volts: tuple[float, ...]) -> None:
    """NEMA MG 1 lets no motor run above 5 %; 7.5, 5.5 and 4 % here, with a mean voltage of exactly the rated one."""
    assert cause(at_lines(*volts), "supply-unbalance") > 0.7


def test_a_balanced_supply_is_none() -> None:
    assert cause(at_lines(400.0, 404.0, 396.0), "supply-unbalance") < 0.05


@pytest.mark.parametrize("volts", [455.0, 340.0])
def test_a_supply_far_off_its_rating_is_the_cause_and_is_watched(volts: float) -> None:
    """Wrong answer that hurts: "nothing speaks for stopping it" of a motor at 114 % of its rated voltage."""
    answer = at_lines(volts, volts, volts)
    assert cause(answer, "supply-out-of-range") > 0.7
    assert answer["operation"]["advice"] != "keep-running"


def test_low_voltage_explains_the_current_it_draws() -> None:
    answer = at_lines(340.0, 340.0, 340.0, running_current=of(16, "A"), expected_current=of(12, "A"))
    assert answer["verdict"]["state"] != "does-not-fit"
    assert cause(answer, "supply-out-of-range") > 0.9


@pytest.mark.parametrize(("microfarad", "least", "most"), [(44.0, 0.0, 0.15), (39.0, 0.5, 1.0), (36.0, 0.8, 1.0)])
def test_a_run_capacitor_by_what_is_left_of_its_marking(microfarad: float, least: float, most: float) -> None:
    """Replaced beyond a tenth by all (common practice): 98, 87 and 80 % of 45 microfarad."""
    marked = of(45, "uF")
    answer = asked(ONE, "will-not-start", run_capacitor=of(microfarad, "uF"), run_capacitor_marked=marked)
    assert least <= cause(answer, "capacitor-failed") <= most


HOT = {
    "suction_pressure": of(10.8, "bara"), "discharge_pressure": of(41.0, "bara"), "suction_temperature": of(15, "degC"),
    "liquid_temperature": of(58, "degC"), "outdoor_temperature": of(35, "degC"), "running": True,
}  # fmt: skip


def test_a_condenser_far_above_its_air_leads_and_is_named() -> None:
    """29 K over the air with usual superheat and subcooling: fouling, fan, air taken back in (common practice)."""
    body = {"refrigerant": "R-410A", "machine": THREE, "readings": HOT}
    answer = CLIENT.post("/v1/diagnosis", json=body).json()["result"]
    assert answer["causes"][0]["id"] == "condenser-heat-rejection"
    assert cause(answer, "condenser-heat-rejection") > 0.4
    assert "condenser" in answer["verdict"]["text"]
    assert answer["operation"]["advice"] != "keep-running"


def test_all_in_order_is_said_in_these_words() -> None:
    sound = HOT | {
        "suction_temperature": of(18, "degC"),
        "discharge_pressure": of(27.0, "bara"),
        "liquid_temperature": of(38, "degC"),
        "outdoor_temperature": of(30, "degC"),
    }
    body = {"refrigerant": "R-410A", "machine": THREE, "readings": sound}
    answer = CLIENT.post("/v1/diagnosis", json=body).json()["result"]
    assert answer["verdict"]["text"].startswith("What was read and told is in order")
    assert answer["operation"]["advice"] == "keep-running"
