import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.openapi import examples

TEARDOWN = examples()["diagnose"]["teardown of a heat pump that built no pressure"]["value"]


def ask(client: TestClient, body: dict[str, Any]) -> Any:
    response = client.post("/v1/diagnosis", json=body)
    assert response.status_code == 200, response.text
    return response.json()


def refused(client: TestClient, body: dict[str, Any]) -> tuple[str, list[str], str]:
    response = client.post("/v1/diagnosis", json=body)
    assert response.status_code == 422, response.text
    problem = response.json()
    return problem["type"], [e["pointer"] for e in problem["errors"]], json.dumps(problem)


def test_a_sudden_slug_at_speed_is_named_with_its_causes_and_evidence(client: TestClient) -> None:
    answer = ask(client, TEARDOWN)
    result = answer["result"]
    assert result["verdict"]["state"] == "diagnosed"
    assert result["modes"][0]["id"] == "slugging"
    assert {"low-airflow", "overcharge"} <= {c["id"] for c in result["causes"][:3]}
    leader = result["explanations"][0]
    assert any(w["alone"] > 0 for w in leader["weights"])
    assert any(w["alone"] < 0 for w in leader["weights"])
    assert [d["id"] for d in result["derived"]][:2] == ["compression-ratio", "pressure-difference-running"]
    assert any("does not pump" in line for line in answer["assumptions"])
    assert {"licensed"} <= {c["id"] for c in answer["cautions"]}


def test_nothing_known_is_not_enough(client: TestClient) -> None:
    result = ask(client, {})["result"]
    assert result["verdict"]["state"] == "not-enough-evidence"
    assert any("shell" in question for question in result["verdict"]["ask_first"])


def test_unknown_is_not_absent(client: TestClient) -> None:
    def probability(state: str) -> float:
        found = [{"finding": "wraps-shattered", "state": state}]
        modes = ask(client, {"machine": {"compressor": "scroll"}, "findings": found})["result"]["modes"]
        return float(next(m["probability"] for m in modes if m["id"] == "slugging"))

    assert probability("absent") < probability("unknown") < probability("present")


def test_parts_that_are_not_wanted_are_left_out(client: TestClient) -> None:
    want = {"explanation": False, "next_checks": False}
    result = ask(client, {**TEARDOWN, "want": want})["result"]
    assert result["explanations"] == []
    assert result["next_checks"] is None
    assert result["sensitivity"] is None


@pytest.mark.parametrize(
    ("change", "kind", "pointer"),
    [
        ({"findings": [{"finding": "wraps-shatered", "state": "present"}]}, "invalid-input", "#/findings/0/finding"),
        ({"findings": [{"finding": "wraps-shattered", "state": "low"}]}, "unusable-input", "#/findings/0/state"),
        ({"findings": [{"finding": "subcooling", "state": "present"}]}, "unusable-input", "#/findings/0/state"),
        (
            {"findings": [{"finding": "oil-burnt", "state": s} for s in ("present", "absent")]},
            "conflict",
            "#/findings/1/state",
        ),
        ({"machine": {"compressor": "turbine"}}, "invalid-input", "#/machine/compressor"),
        ({"circumstances": {"equipment": "fridge"}}, "invalid-input", "#/circumstances/equipment"),
        ({"readings": {"running_current": {"value": -3, "unit": "A"}}}, "out-of-range", "#/readings/running_current"),
        ({"readings": {"oil_colour": 9}}, "invalid-input", "#/readings/oil_colour"),
        (
            {"refrigerant": None, "readings": {"suction_pressure": {"value": 9, "unit": "barg"},
                                               "suction_temperature": {"value": 9, "unit": "degC"}}},
            "invalid-input",
            "#",
        ),
        ({"want": {"shortlist": 0}}, "invalid-input", "#/want/shortlist"),
        ({"readings": {"running": 1}}, "invalid-input", "#/readings/running"),
    ],
)  # fmt: skip
def test_bad_input_names_its_field(client: TestClient, change: dict[str, Any], kind: str, pointer: str) -> None:
    found, pointers, _ = refused(client, {**TEARDOWN, **change})
    assert found == f"/problems/{kind}"
    assert pointer in pointers


def test_a_misspelt_finding_is_told_the_near_ones(client: TestClient) -> None:
    _, _, said = refused(client, {"findings": [{"finding": "wraps-shatered", "state": "present"}]})
    assert "wraps-shattered" in said


def test_catalogues(client: TestClient) -> None:
    findings = client.get("/v1/findings").json()["result"]
    scroll = client.get("/v1/findings", params={"compressor": "scroll", "stage": "teardown"}).json()["result"]
    modes = client.get("/v1/failure-modes").json()["result"]["failure_modes"]
    causes = client.get("/v1/causes", params={"drive": "inverter"}).json()["result"]["causes"]
    assert len(findings["findings"]) >= 90
    assert len(modes) >= 27
    assert len(causes) >= 30
    assert {f["id"] for f in scroll["findings"]} < {f["id"] for f in findings["findings"]}
    assert all(f["stage"] == "teardown" for f in scroll["findings"])
    assert all(m["findings"] for m in modes)
    assert client.get("/v1/findings", params={"compressor": "turbine"}).status_code == 422
    assert client.get("/v1/causes", params={"colour": "blue"}).status_code == 422


def test_circumstances_alone_are_explained_without_findings(client: TestClient) -> None:
    body = {"circumstances": TEARDOWN["circumstances"], "refrigerant": "R-410A", "conditions": ["power-off"]}
    result = ask(client, body)["result"]
    assert all(e["weights"] == [] for e in result["explanations"])
    assert result["verdict"]["state"] == "not-enough-evidence"


def test_readings_taken_running_speak_against_a_seized_motor(client: TestClient) -> None:
    def locked(*, running: bool | None) -> float:
        body = {"machine": {"compressor": "scroll"}, "readings": {"running": running}}
        modes = ask(client, body)["result"]["modes"]
        return float(next(m["probability"] for m in modes if m["id"] == "locked-rotor"))

    assert 0 < locked(running=True) < locked(running=False) == locked(running=None)


def test_a_history_that_is_also_a_finding_counts_once(client: TestClient) -> None:
    found = [{"finding": "charge-added-repeatedly", "state": "present"}]
    once = ask(client, {"findings": found})
    twice = ask(client, {"findings": found, "circumstances": {"history": ["charge-added-repeatedly"]}})
    assert twice["result"]["causes"] == once["result"]["causes"]
    assert any("Counted once" in line for line in twice["assumptions"])


def test_insulation_is_shown_in_the_unit_of_its_instrument(client: TestClient) -> None:
    readings = {
        "insulation_resistance": {"value": 200, "unit": "kilohm"},
        "winding_temperature": {"value": 40, "unit": "degC"},
    }
    answer = client.post("/v1/diagnosis", json={"readings": readings}).json()
    (found,) = [d["value"] for d in answer["result"]["derived"] if d["id"] == "insulation-resistance"]
    assert found["unit"] == "megohm"
    assert found["value"] == pytest.approx(0.2)
