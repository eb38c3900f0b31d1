"""Sentences in the units of the answer. Factors by hand: 1 psi is 6.894757 kPa, 1 lb 0.45359237 kg, 1 in 25.4 mm."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.told_units import told_units
from witnessmark.vocabulary import SystemOfUnits

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
ALONE = re.compile(r"(?<![\w.(])\d[\d.,]* (?:MPa|kPa|bar|K|degC|litres|kg|mm)\b(?!/)(?! \(\d)")


@pytest.mark.parametrize(
    ("text", "system", "told"),
    [
        ("no loss seen at 3.8 MPa gauge", "IP", "no loss seen at 551 psi gauge"),
        ("no loss seen at 3.8 MPa gauge", "bar", "no loss seen at 38 bar gauge"),
        ("no loss seen at 3.8 MPa gauge", "SI", "no loss seen at 3.8 MPa gauge"),
        ("0.6 MPa absolute is nothing", "IP", "87 psi absolute is nothing"),
        ("sea level, 101.325 kPa (nothing given)", "IP", "sea level, 14.6959 psi (nothing given)"),
        ("sea level, 101.325 kPa (nothing given)", "bar", "sea level, 1.01325 bar (nothing given)"),
        ("43 degC", "IP", "109 degF"),
        ("evaporating at -40 degC", "IP", "evaporating at -40 degF"),
        ("0.5 degC", "IP", "32.9 degF"),
        ("may fall to 12 K for 2 min", "IP", "may fall to 21.6 °F for 2 min"),
        ("75 to 150 mm from the shell", "IP", "2.95 to 5.91 in from the shell"),
        ("300 kg find no room in 24 litres", "IP", "661 lb find no room in 0.848 ft3"),
        ("below 5 K (9 °F), steady", "IP", "below 5 K (9 °F), steady"),
        ("1 lb (0.45 kg) a year", "IP", "1 lb (0.45 kg) a year"),
        ("4 kg/m3, 0.64 kg/h", "IP", "4 kg/m3, 1.41 lb/h"),
        ("R-32/125/134a (20.7/22.5/56.8)", "IP", "R-32/125/134a (20.7/22.5/56.8)"),
        ("5 MOhm, 12 mA, 150 micron, 16 A", "IP", "5 MOhm, 12 mA, 150 micron, 16 A"),
    ],
)
def test_told_units(text: str, system: SystemOfUnits, told: str) -> None:
    assert told_units(text, system) == told


def sentences(part: Any) -> Iterator[str]:
    if isinstance(part, dict):
        for value in part.values():
            yield from sentences(value)
    elif isinstance(part, list):
        for value in part:
            yield from sentences(value)
    elif isinstance(part, str):
        yield part


@pytest.mark.parametrize("language", ["en", "es", "pt"])
def test_no_sentence_of_a_gate_in_inch_pound_holds_si(client: TestClient, language: str) -> None:
    """Wrong answer that hurts: 3.8 read as psi, where the test stood at 38 bar."""
    for example in json.loads((EXAMPLES / "restart.json").read_text("utf-8")).values():
        body = {**example["value"], "report_in": "IP"}
        answer = client.post("/v1/restart", json=body, headers={"accept-language": language}).json()
        told = [*sentences(answer["result"]), *(answer["assumptions"] if language == "en" else [])]
        assert [text for text in told if ALONE.search(text)] == []


@pytest.mark.parametrize(
    ("part", "value", "told"),
    [
        ("acid_number", {"value": 0.2, "unit": "mgKOH/g"}, "acid number 0.2 mgKOH/g, above 0.05 mgKOH/g"),
        ("water", {"value": 200, "unit": "mg/kg"}, "water 200 mg/kg, above 50 mg/kg"),
    ],
)
def test_a_sample_is_told_with_its_unit(client: TestClient, part: str, value: dict[str, Any], told: str) -> None:
    """Not as an id and a bare number: water of 200 mg/kg was told as 0.0002, above 5e-05."""
    body = json.loads((EXAMPLES / "restart.json").read_text("utf-8"))["everything proved"]["value"]
    body["tests"]["oil_samples"][0][part] = value
    answer = client.post("/v1/restart", json=body).json()
    checks = {check["check"]: check for check in answer["result"]["checks"]}
    assert told in [e["detail"] for e in checks["oil-charge"]["evidence"]]


def test_a_number_without_its_unit_is_told_how_to_be_written(client: TestClient) -> None:
    found = client.post("/v1/oil-quality", json={"oil": "POE", "acid_number": 0.2}).json()
    assert found["errors"] == [
        {
            "pointer": "#/acid_number",
            "detail": 'should be an object: a number with its unit, such as {"value": 1, "unit": "mgKOH/g"}',
        }
    ]
