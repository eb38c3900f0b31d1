"""POST /v1/restart in another language: what contradicts, is set aside and is owed is told in it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.language.untold import rests

from witnessmark.language.catalogue import FIRST, Language
from witnessmark.vocabulary import words

EXAMPLES = json.loads((Path(__file__).parents[2] / "openapi" / "examples" / "restart.json").read_text("utf-8"))
CASES = {name: case["value"] for name, case in EXAMPLES.items()}
OTHERS = tuple(language for language in words(Language) if language != FIRST)
Change = Callable[[dict[str, Any]], None]
FLAT = [{"time": {"value": t, "unit": "min"}, "pressure": {"value": 25, "unit": "micron"}} for t in (0, 20, 40, 60)]


def machine(**changed: Any) -> Change:
    return lambda body: body["machine"].update(changed)


def windings(*ohm: float, **more: Any) -> Change:
    read = [{"value": value, "unit": "ohm"} for value in ohm]
    return lambda body: body["tests"]["windings"].update(terminals=read, **more)


def decay(**changed: Any) -> Change:
    return lambda body: body["tests"]["evacuation"].update(changed)


def stated(check: str, outcome: str) -> Change:
    def change(body: dict[str, Any]) -> None:
        body["stated"] = [s for s in body["stated"] if s["check"] != check] + [{"check": check, "outcome": outcome}]

    return change


def pressure(**changed: Any) -> Change:
    return lambda body: body["tests"]["pressure_tests"][0].update(changed)


def both(*changes: Change) -> Change:
    def change(body: dict[str, Any]) -> None:
        for one in changes:
            one(body)

    return change


PLATE = {"rated_current": {"value": 15, "unit": "A"}, "rated_voltage": {"value": 400, "unit": "V"}}
CHANGES: dict[str, Change] = {
    "as it is": machine(),
    "another oil": machine(oil="mineral"),
    "no core": machine(suction_core_fitted=False),
    "no drier": machine(liquid_drier_fitted=False),
    "a drier never built in": both(
        machine(liquid_drier_fitted=False, no_drier_because="built-without"), stated("liquid-drier", "not-done")
    ),
    "a chiller": both(
        machine(compressor="centrifugal", shell=None, refrigerant="R-123", drive="fixed-speed"),
        lambda body: body["tests"]["insulation"].update(motor="hermetic-centrifugal"),
    ),
    "a shell that is none": machine(compressor="reciprocating", shell="high-side"),
    "locked the other way": machine(locked_mode="heating"),
    "lock not said": machine(locked_mode=None),
    "no heater": machine(crankcase_heater_fitted=False),
    "high windings": windings(40, 40, 40, **PLATE),
    "low windings": windings(0.02, 0.02, 0.02, **PLATE),
    "one open": windings(1.0, 1.0, 2.0),
    "a gauge that stands": decay(readings=FLAT),
    "at the pump": decay(gauge_at_pump=True),
    "pump on": decay(pump_valved_off=False),
    "oil of the vacuum": decay(oil="PAO"),
    "steps": decay(gauge_step={"value": 50, "unit": "micron"}),
    "small volume": decay(volume={"value": 1, "unit": "L"}),
    "low plate": pressure(design_pressure={"value": 1.0, "unit": "MPag"}),
    "said and failed": stated("windings", "failed"),
    "liquid": lambda body: body["measured"].update(liquid_in_shell=True, oil_level="above-glass"),
    "another refrigerant": lambda body: body["measured"]["charge"].update(refrigerant="R-22", taken_as="vapour"),
    "switch": lambda body: body["measured"]["high_pressure_switch"].update(setting={"value": 0.6, "unit": "MPag"}),
}


def told(result: dict[str, Any]) -> Iterator[str]:
    yield from result["contradictions"]
    yield from result["conditions"]
    for check in result["checks"]:
        for piece in check["evidence"]:
            yield from (piece["origin"], piece["detail"], piece["condition"])


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", CHANGES)
def test_nothing_of_it_is_left_in_english(client: TestClient, name: str, language: Language) -> None:
    body = json.loads(json.dumps(CASES["everything proved"]))
    CHANGES[name](body)
    ours, theirs = (
        client.post("/v1/restart", json=body, headers={"Accept-Language": known}) for known in (FIRST, language)
    )
    assert ours.status_code == theirs.status_code == 200, ours.json()
    pairs = zip(told(ours.json()["result"]), told(theirs.json()["result"]), strict=True)
    assert {english: other for english, other in pairs if english and rests(english, other)} == {}


@pytest.mark.parametrize("language", OTHERS)
def test_the_example_of_contradictions_is_told(client: TestClient, language: Language) -> None:
    body = CASES["claims that the request contradicts"]
    answer = client.post("/v1/restart", json=body, headers={"Accept-Language": language}).json()["result"]
    assert len(answer["contradictions"]) >= 3
    assert [text for text in answer["contradictions"] if rests("", text)] == []
