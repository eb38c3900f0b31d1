"""The pressure-enthalpy picture of a report: in its language, and from what was stated where nothing was measured."""

import json
import re
from base64 import b64decode
from importlib.resources import files
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.calculations.cycle.diagram import WRITTEN
from witnessmark.language.catalogue import Language, translator

CASE: dict[str, Any] = json.loads(files("witnessmark.demo").joinpath("cases/nothing-wrong.json").read_text("utf-8"))


def picture(client: TestClient, case: dict[str, Any], language: Language) -> str:
    body = {"case": case, "language": language}
    page = client.post("/v1/cases/report", json=body, headers={"accept": "text/html"}).text
    shown = [b64decode(found).decode() for found in re.findall(r"data:image/svg\+xml;base64,([A-Za-z0-9+/=]+)", page)]
    return next(text for text in shown if "COP" in text)


@pytest.mark.parametrize("language", ["es", "pt"])
def test_no_word_of_english_is_left_in_the_picture(client: TestClient, language: Language) -> None:
    drawn, say = picture(client, CASE, language), translator(language)
    shown = re.findall(r">([^<>]+)</text>", drawn)
    english = [word for word in WRITTEN if say(word) != word]
    assert len(english) == len(WRITTEN)
    assert not [text for text in shown for word in english if text.strip() == word or text.startswith(f"{word},")]
    assert say("enthalpy") in drawn
    assert say("two standard uncertainties") in drawn


def test_a_stated_superheat_moves_the_suction_point(client: TestClient) -> None:
    case = json.loads(json.dumps(CASE))
    values = case["readings"][0]["values"]
    for name in ("suction_temperature", "liquid_temperature"):
        values.pop(name)
    values |= {"suction_superheat": {"value": 9, "unit": "K"}, "subcooling": {"value": 6, "unit": "K"}}
    near = picture(client, case, "en")
    values["suction_superheat"]["value"] = 15
    assert near != picture(client, case, "en")
    superheat = re.search(r"superheat ([\d.]+)", near)
    assert superheat is not None
    assert abs(float(superheat[1]) - 9.0) < 1.5
