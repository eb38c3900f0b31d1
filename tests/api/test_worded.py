"""Plans and gates in another language: sentences are told; closed words, ids and numbers stay; marked."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.worded import WORDED
from witnessmark.language.catalogue import FIRST, Language
from witnessmark.vocabulary import words

OTHERS = [language for language in words(Language) if language != FIRST]
EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
BOTH = [("plan_cleanup", "/v1/cleanup/plan"), ("restart", "/v1/restart")]


def examples(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    return {key: example["value"] for key, example in found.items()}


def pairs(ours: Any, theirs: Any, key: str = "") -> Iterator[tuple[str, Any, Any]]:
    if isinstance(ours, dict):
        assert ours.keys() == theirs.keys()
        for name, value in ours.items():
            yield from pairs(value, theirs[name], name)
    elif isinstance(ours, list):
        for mine, other in zip(ours, theirs, strict=True):
            yield from pairs(mine, other, key)
    else:
        yield key, ours, theirs


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize(("name", "path"), BOTH)
def test_only_sentences_are_told_in_another_language(client: TestClient, name: str, path: str, language: str) -> None:
    for body in examples(name).values():
        ours = client.post(path, json=body).json()
        theirs = client.post(path, json=body, headers={"accept-language": language}).json()
        assert ours["result"].pop("translation") == ""
        assert "técnico nativo" in theirs["result"].pop("translation")
        told = list(pairs(ours, theirs))
        assert {key for key, mine, other in told if mine != other} <= {*WORDED, "contradictions"}
        for key in ("text", "title", "what", "act"):
            assert [mine for name, mine, other in told if name == key and mine == other] == [], key


@pytest.mark.parametrize(("language", "word"), [("es", "no arrancar"), ("pt", "não dar partida")])
def test_a_verdict_is_a_word_of_a_closed_list_and_stays(client: TestClient, language: str, word: str) -> None:
    body = {**next(iter(examples("restart").values())), "stated": [], "tests": {}}
    told = client.post("/v1/restart", json=body, headers={"accept-language": language})
    assert (told.status_code, word in told.text) == (200, False)
    assert told.json()["result"]["verdict"] == "do not start"


@pytest.mark.parametrize(("language", "site"), [("es", "en el lugar"), ("pt", "no local"), ("en", "on site")])
def test_the_calendar_is_told_too(client: TestClient, language: str, site: str) -> None:
    headers = {"accept": "text/calendar", "accept-language": language}
    told = client.post("/v1/cleanup/plan", json=next(iter(examples("plan_cleanup").values())), headers=headers)
    text = re.sub(r"\r\n[ \t]", "", told.text)
    assert told.headers["content-type"].startswith("text/calendar")
    assert site in text
    assert ("técnico nativo" in text) == (language != "en")
