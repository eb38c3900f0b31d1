import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.openapi import examples
from witnessmark.diagnosis.catalogue.knowledge import knowledge

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
    answer = ask(client, {**TEARDOWN, "want": {"all_weights": True}})
    result = answer["result"]
    assert result["verdict"]["state"] == "diagnosed"
    assert result["verdict"]["probability"] == result["modes"][0]["probability"]
    assert "slugging" in result["causes"][0]["brings_about"]
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
        body = {"machine": {"compressor": "scroll"}, "findings": found, "want": {"all_modes": True}}
        modes = ask(client, body)["result"]["modes"]
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
        ({"findings": [{"finding": "wraps-shatered", "state": "present"}]}, "unusable-input", "#/findings/0/finding"),
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
    assert "no such finding; accepted: near: wraps-shattered" in said


def test_a_finding_renamed_is_unknown_under_its_old_name(client: TestClient) -> None:
    _, pointers, said = refused(client, {"findings": [{"finding": "metal-paste-in-oil", "state": "present"}]})
    assert pointers == ["#/findings/0/finding"]
    assert "metal-fines-in-oil" in said


@pytest.mark.parametrize("name", ["a" * 80, "", "é"])
def test_any_short_word_may_be_asked_for(client: TestClient, name: str) -> None:
    found, pointers, _ = refused(client, {"findings": [{"finding": name, "state": "present"}]})
    assert (found, pointers) == ("/problems/unusable-input", ["#/findings/0/finding"])


def test_a_word_longer_than_any_id_is_refused_by_the_schema(client: TestClient) -> None:
    found, pointers, _ = refused(client, {"findings": [{"finding": "a" * 81, "state": "present"}]})
    assert (found, pointers) == ("/problems/invalid-input", ["#/findings/0/finding"])


def test_a_centrifugal_machine_is_refused_with_the_reason(client: TestClient) -> None:
    found, pointers, said = refused(client, {"machine": {"compressor": "centrifugal"}})
    assert (found, pointers) == ("/problems/unusable-input", ["#/machine/compressor"])
    assert "positive-displacement machines only" in said
    assert "scroll, reciprocating, rotary, screw" in said
    for path in ("findings", "failure-modes", "causes"):
        response = client.get(f"/v1/{path}", params={"compressor": "centrifugal"})
        assert response.status_code == 422
        assert response.json()["errors"][0]["pointer"] == "#/query/compressor"
        assert "positive-displacement" in response.text


def test_a_soft_starter_counts_as_fixed_speed(client: TestClient) -> None:
    def answer(drive: str) -> Any:
        body = {
            "machine": {"compressor": "scroll", "shell": "low-side", "drive": drive},
            "want": {"next_checks": False},
        }
        return ask(client, body | {"findings": [{"finding": "oil-burnt", "state": "present"}]})["result"]

    assert answer("soft-starter") == answer("fixed-speed")
    assert answer("soft-starter") != answer("inverter")
    ids = [
        {f["id"] for f in client.get("/v1/findings", params={"drive": drive}).json()["result"]["findings"]}
        for drive in ("soft-starter", "fixed-speed", "inverter")
    ]
    assert ids[0] == ids[1] != ids[2]


@pytest.mark.parametrize(
    ("facts", "has", "has_not"),
    [
        ({"construction": "open-drive"}, "shaft-seal-leaking", "protector-open-cold"),
        ({"construction": "semi-hermetic"}, "oil-pump-failed", "shaft-seal-leaking"),
        ({"phases": "single-phase"}, "capacitor-bad", "phase-missing"),
        ({"phases": "three-phase"}, "phase-missing", "start-winding-open"),
    ],
)
def test_construction_and_phases_are_told_apart(
    client: TestClient, facts: dict[str, str], has: str, has_not: str
) -> None:
    machine = {"compressor": "reciprocating", "drive": "fixed-speed"} | facts
    ids = {f["id"] for f in client.get("/v1/findings", params=machine).json()["result"]["findings"]}
    assert has in ids
    assert has_not not in ids
    body = {"machine": machine, "findings": [{"finding": has_not, "state": "present"}], "want": {"next_checks": False}}
    (aside,) = ask(client, body)["result"]["set_aside"]
    assert aside["finding"] == has_not


def test_the_fate_of_the_compressor_and_what_was_first_are_taken(client: TestClient) -> None:
    findings = [{"finding": "spot-burn-in-winding", "state": "present"}]
    body = {"findings": findings, "compressor_fate": "replaced-anyway", "first": "spot-burn-in-winding"}
    result = ask(client, body)["result"]
    assert result["dispatch"]["text"].endswith("The compressor is ordered anyway, whatever is found.")
    assert result["initiating"] == ["spot-burn"]
    assert ask(client, {"compressor_fate": "known-failed"})["result"]["no_fault"] == 0.0
    assert refused(client, {"first": "the-beginning"})[1] == ["#/first"]


def test_low_temperature_is_known_by_the_application_or_by_the_equipment(client: TestClient) -> None:
    pressures = {"suction_pressure": {"value": 1, "unit": "barg"}, "discharge_pressure": {"value": 15, "unit": "barg"}}
    body = {"refrigerant": "R-404A", "readings": {"running": True, **pressures}, "want": {"next_checks": False}}

    def ratio(**more: Any) -> str:
        return str(ask(client, body | more)["result"]["derived"][0]["id"])

    low = {"application": "low-temperature"}
    assert ratio() == ratio(machine={"application": "medium-temperature"}) == "compression-ratio"
    assert ratio(machine=low) == "compression-ratio-low-temperature"
    assert ratio(circumstances={"equipment": "low-temperature"}) == "compression-ratio-low-temperature"
    assert ratio(machine=low, circumstances={"equipment": "rack"}) == "compression-ratio-low-temperature"
    unlike = body | {"machine": low, "circumstances": {"equipment": "medium-temperature"}}
    found, pointers, _ = refused(client, unlike)
    assert (found, pointers) == ("/problems/conflict", ["#/machine/application", "#/circumstances/equipment"])


@pytest.mark.parametrize(("shortlist", "explained"), [(1, 2), (10, 20)])
def test_the_shortlist_is_of_each_layer(client: TestClient, shortlist: int, explained: int) -> None:
    result = ask(client, {"want": {"shortlist": shortlist, "next_checks": False}})["result"]
    assert len(result["explanations"]) == explained


def test_ids_are_open_in_the_document(client: TestClient) -> None:
    document = client.get("/openapi.json").json()
    schemas = document["components"]["schemas"]
    closed = {word for part in _parts(schemas) for word in part.get("enum", ()) if isinstance(word, str)}
    assert "three-way" in closed
    ids = {*knowledge().findings, *knowledge().modes, *knowledge().causes}
    assert closed & ids == {
        "charge-added-repeatedly",  # a circumstance of the request has the same word
        "copper-plating",  # and so has what the cleanup asks for on the parts
        "subcooling",  # and so has a margin of the case
        "flooded-start",  # and so have episodes of a log, which are stretches of time
        "high-ratio",
        "no-pressure-difference",
        "short-cycling",
        "vacuum-running",
    }
    for name, field in (("FindingEntry", "id"), ("RankedHypothesis", "id"), ("SafetyNote", "rule"), ("Arrow", "cause")):
        assert "new ids may appear" in schemas[name]["properties"][field]["description"]
    asked = schemas["ReportedFinding"]["properties"]["finding"]
    assert "GET /v1/findings" in asked["description"]
    assert asked["examples"] == ["oil-burnt"]
    assert "enum" not in asked


def _parts(part: Any) -> list[dict[str, Any]]:
    """Every object of a document, from the outside in."""
    if isinstance(part, list):
        return [inner for entry in part for inner in _parts(entry)]
    if not isinstance(part, dict):
        return []
    return [part, *(inner for entry in part.values() for inner in _parts(entry))]


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
    assert {"present", "absent"} == set(next(f for f in findings["findings"] if f["id"] == "oil-burnt")["states"])
    superheat = next(f for f in findings["findings"] if f["id"] == "suction-superheat")
    assert set(superheat["backgrounds"]) == {"low", "high"}
    assert superheat["check"]["time"]["unit"] == "min"
    assert {link["target"] for m in modes for link in m["findings"]} <= {f["id"] for f in findings["findings"]}
    assert {link["target"] for c in causes for link in c["failure_modes"]} <= {m["id"] for m in modes}
    assert all(f["applies"]["compressor"] == sorted(f["applies"]["compressor"]) for f in findings["findings"])
    assert client.get("/v1/findings", params={"compressor": "turbine"}).status_code == 422
    assert client.get("/v1/causes", params={"colour": "blue"}).status_code == 422


def test_circumstances_alone_are_explained_without_findings(client: TestClient) -> None:
    body = {"circumstances": TEARDOWN["circumstances"], "refrigerant": "R-410A", "conditions": ["power-off"]}
    result = ask(client, body)["result"]
    assert all(e["weights"] == [] for e in result["explanations"])
    assert result["verdict"]["state"] == "not-enough-evidence"


def test_readings_taken_running_speak_against_a_seized_motor(client: TestClient) -> None:
    def locked(*, running: bool | None) -> float:
        body = {"machine": {"compressor": "scroll"}, "readings": {"running": running}, "want": {"all_modes": True}}
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
        "liquid_refrigerant": False,
    }
    answer = client.post("/v1/diagnosis", json={"readings": readings}).json()
    (found,) = [d["value"] for d in answer["result"]["derived"] if d["id"] == "insulation-resistance"]
    assert found["unit"] == "megohm"
    assert found["value"] == pytest.approx(0.2)


def test_lists_are_short_unless_all_is_wanted(client: TestClient) -> None:
    everything = {
        "all_modes": True, "all_causes": True, "all_weights": True, "all_used": True, "used_unmentioned": True,
        "all_checks": True, "all_withheld": True, "shortlist": 2,
    }  # fmt: skip
    body = {"findings": [{"finding": key, "state": "present"} for key in MANY], "reported_by": ["note"]}
    short, full = (ask(client, body | {"want": want})["result"] for want in ({}, everything))
    for name in ("modes", "causes"):
        assert short[name] == full[name][:5]
        assert len(full[name]) > 20
    assert len(short["used"]) == 6
    assert [piece for piece in full["used"] if piece in short["used"]] == short["used"]
    assert any(piece["state"] == "not mentioned" for piece in full["used"])
    assert not any(piece["state"] == "not mentioned" for piece in short["used"])
    assert [len(told["weights"]) for told in short["explanations"]] == [3, 3]
    assert [len(told["weights"]) for told in full["explanations"]] == [len(MANY)] * 4
    assert len(short["next_checks"]["checks"]) <= 3
    assert short["next_checks"]["checks"] == full["next_checks"]["checks"][:3]
    assert len(short["next_checks"]["withheld"]) <= 2 < len(full["next_checks"]["withheld"])


MANY = ("oil-burnt", "acid-test-positive", "breaker-trips-at-once", "capacity-low", "charge-short", "high-hours",
        "condenser-fouled", "knock-while-running", "short-cycling", "storm-or-outage", "contactor-bad",
        "airflow-low")  # fmt: skip


@pytest.mark.parametrize("number", [0, 1, 3, 8, 12])
def test_a_whole_answer_stays_under_twenty_kilobytes(client: TestClient, number: int) -> None:
    body = {"machine": {"compressor": "scroll"}, "refrigerant": "R-410A", "reported_by": ["note", "form"],
            "findings": [{"finding": key, "state": "present"} for key in MANY[:number]]}  # fmt: skip
    response = client.post("/v1/diagnosis", json=body)
    assert response.status_code == 200
    assert len(response.content) < 20_000


@pytest.mark.parametrize("number", [15, 30])
def test_very_many_findings_leave_room_for_what_can_hurt(client: TestClient, number: int) -> None:
    general = [key for key, row in knowledge().findings.items() if not row.applies.parts and row.kind == "yes-no"]
    findings = [{"finding": key, "state": "present"} for key in general[:: max(1, len(general) // number)][:number]]
    body = {"refrigerant": "R-410A", "findings": findings}
    response = client.post("/v1/diagnosis", json=body)
    assert response.status_code == 200
    assert len(response.content) < 20_000
    short = response.json()["result"]
    full = client.post("/v1/diagnosis", json={**body, "want": {"all_modes": True}}).json()["result"]
    assert short["safety"] == full["safety"]
    assert short["verdict"] == full["verdict"]
    assert short["contradictions"] == full["contradictions"]
    assert short["modes"] == full["modes"][: len(short["modes"])]
    assert len(short["modes"]) >= 2


def test_every_described_example_stays_under_twenty_kilobytes(client: TestClient) -> None:
    for example in examples()["diagnose"].values():
        body = {key: value for key, value in example["value"].items() if key != "want"}
        assert len(client.post("/v1/diagnosis", json=body).content) < 20_000


FOR_SOFTWARE = ("deciban", " dB", "readings.", "inference", "posterior", "belief", "P(")
"""What no sentence for people says."""


def test_sentences_for_people_are_plain(client: TestClient) -> None:
    readings = {"running": True, "suction_pressure": {"value": 8, "unit": "barg"},
                "suction_temperature": {"value": 4, "unit": "degC"}}  # fmt: skip
    body = {"refrigerant": "R-410A", "readings": readings, "reported_by": ["note"],
            "findings": [{"finding": key, "state": "present"} for key in MANY]}  # fmt: skip
    result = ask(client, body)["result"]
    sentences = [part[name] for part in _parts(result) for name in ("text", "reason", "words") if name in part]
    sentences += [*result["verdict"]["reasons"], *result["dispatch"]["for_technician"]]
    assert len(sentences) > 30
    assert not [line for line in sentences if any(word in line for word in FOR_SOFTWARE)]


def test_a_named_refrigerant_decides_what_burns(client: TestClient) -> None:
    body = {"findings": [{"finding": "standing-pressure-high", "state": "present"}]}
    burning, safe = (ask(client, body | {"refrigerant": name}) for name in ("R-32", "R-410A"))
    assert "air-in-the-circuit" in [notice["rule"] for notice in burning["result"]["safety"]]
    assert safe["result"]["safety"] == []
    said = " ".join(safe["result"]["dispatch"]["for_technician"])
    assert "lammable" not in said


def test_nothing_known_raises_no_alarm(client: TestClient) -> None:
    result = ask(client, {})["result"]
    assert result["safety"] == []
    assert result["operation"]["advice"] == "unknown"
    assert result["dispatch"]["priority"]["level"] == 8


def ohms(*values: float) -> list[dict[str, Any]]:
    return [{"value": value, "unit": "ohm"} for value in values]


def derived(answer: Any) -> dict[str, Any]:
    return {number["id"]: number["value"] for number in answer["result"]["derived"]}


QUICK = {"want": {"explanation": False, "next_checks": False}}


def test_a_good_single_phase_motor_is_not_called_unequal(client: TestClient) -> None:
    """2.5, 1.7 and 4.2 ohm: common to start and common to run make start to run."""
    readings = {"winding_resistances": ohms(2.5, 1.7, 4.2)}
    told = ask(client, QUICK | {"machine": {"phases": "single-phase"}, "readings": readings})
    assert "winding-spread" not in derived(told)
    assert derived(told)["winding-continuity"]["unit"] == "ohm"
    open_question = ask(client, QUICK | {"machine": {"drive": "fixed-speed"}, "readings": readings})
    assert "winding-spread" not in derived(open_question)
    assert any("say how many phases the motor has" in line for line in open_question["assumptions"])


def test_an_open_winding_is_shown_in_megohms(client: TestClient) -> None:
    readings = {"winding_resistances": [*ohms(1.2, 1.2), {"value": 5, "unit": "megohm"}]}
    assert derived(ask(client, QUICK | {"readings": readings}))["winding-continuity"]["unit"] == "megohm"


def test_readings_that_need_the_refrigerant_do_not_refuse_the_rest(client: TestClient) -> None:
    body = {
        "readings": {
            "running": True,
            "suction_pressure": {"value": 9, "unit": "barg"},
            "discharge_pressure": {"value": 25, "unit": "barg"},
            "discharge_temperature": {"value": 80, "unit": "degC"},
        },
        "findings": [{"finding": "oil-burnt", "state": "present"}],
    }
    answer = ask(client, QUICK | body)
    assert "compression-ratio" in derived(answer)
    assert any(
        "Not worked out, since the refrigerant is not given: Discharge superheat" in a for a in answer["assumptions"]
    )


def test_numbers_of_a_note_and_other_new_readings_are_taken(client: TestClient) -> None:
    readings = {
        "suction_superheat": {"value": 2, "unit": "delta_degF"},
        "subcooling": {"value": 18, "unit": "delta_degF"},
        "compression_ratio": 3.1,
        "net_oil_pressure": {"value": 8, "unit": "psi"},
        "run_capacitor": {"value": 31, "unit": "uF"},
        "run_capacitor_marked": {"value": 40, "unit": "uF"},
        "restart_interval": {"value": 5, "unit": "s"},
        "oil_drained": {"value": 0.4, "unit": "L"},
        "oil_due": {"value": 1.2, "unit": "L"},
    }
    numbers = derived(ask(client, QUICK | {"readings": readings, "report_in": "IP"}))
    assert numbers["suction-superheat"]["value"] == pytest.approx(2)
    assert numbers["subcooling"]["unit"] == "delta_degF"
    assert numbers["net-oil-pressure"]["unit"] == "psi"
    assert numbers["restart-interval"]["value"] == 5
    assert {"compression-ratio", "capacitor-outside-tolerance", "oil-drained-fraction"} <= set(numbers)


def test_a_baseline_turns_numbers_into_deviations(client: TestClient) -> None:
    def gauges(head: float) -> dict[str, Any]:
        return {
            "running": True,
            "discharge_pressure": {"value": head, "unit": "barg"},
            "liquid_temperature": {"value": 30, "unit": "degC"},
            "outdoor_temperature": {"value": 29, "unit": "degC"},
        }

    body = {"machine": {"condenser": "water-cooled"}, "refrigerant": "R-134a", "readings": gauges(9.3)}
    answer = ask(client, QUICK | body | {"baseline": gauges(8.0)})
    assert {"condensing-against-baseline", "head-over-liquid-against-baseline"} <= set(derived(answer))
    assert "condensing-over-entering-water" in derived(ask(client, QUICK | body))


def test_a_baseline_out_of_range_names_its_field(client: TestClient) -> None:
    kind, pointers, _ = refused(client, {"baseline": {"running_current": {"value": -3, "unit": "A"}}})
    assert (kind, pointers) == ("/problems/out-of-range", ["#/baseline/running_current"])
