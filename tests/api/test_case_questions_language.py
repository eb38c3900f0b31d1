"""POST /v1/cases/questions in another language: words are told, ids and values stay."""

import pytest
from starlette.testclient import TestClient
from tests.language.untold import rests

from witnessmark.demo import cases
from witnessmark.language.catalogue import FIRST, Language
from witnessmark.vocabulary import words

OTHERS = tuple(language for language in words(Language) if language != FIRST)


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", list(cases.names()))
def test_the_questions_of_a_case_are_told(client: TestClient, name: str, language: Language) -> None:
    body = {"case": cases.everything()[name], "most": 50}
    ours, theirs = (
        client.post("/v1/cases/questions", json=body, headers={"accept-language": told}).json()["result"]
        for told in (FIRST, language)
    )
    assert (ours["language"], ours["translation"]) == (FIRST, "")
    assert theirs["language"] == language
    assert theirs["translation"]
    for mine, other in zip(ours["questions"], theirs["questions"], strict=True):
        assert not rests(mine["text"], other["text"]), other["text"]
        assert not rests(mine["why"], other["why"]), other["why"]
        kept = ("kind", "field", "finding", "check", "unlocks", "answer")
        assert [mine[key] for key in kept] == [other[key] for key in kept]
        assert [one["value"] for one in mine["choices"]] == [one["value"] for one in other["choices"]]
    asked_for = client.post("/v1/cases/questions", json=body | {"language": language}).json()["result"]
    assert asked_for == theirs
