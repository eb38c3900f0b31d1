"""Texts are safe to show: nothing that a terminal obeys, nothing that reads otherwise than it is."""

import json
import time
import unicodedata
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.api.openapi import examples
from witnessmark.api.plain_text import is_safe, shape_in_words, unsafe_places

BIDI = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
"""Classes of Unicode Standard Annex 9 that embed, override and isolate; the database of Python tells them apart."""


def unsafe(character: str) -> bool:
    turns = unicodedata.bidirectional(character) in BIDI
    return turns or (unicodedata.category(character) == "Cc" and character not in "\t\n")


@pytest.mark.parametrize("ascii_only", [True, False])
def test_exactly_controls_and_turns_of_direction_are_refused(*, ascii_only: bool) -> None:
    for number in (*range(0xD800), *range(0xE000, 0x11000), 0x1F527, 0xE0001):
        text = json.dumps(["a", {"b": chr(number)}], ensure_ascii=ascii_only)
        assert is_safe(text) == (not unsafe(chr(number))), hex(number)


@given(st.lists(st.text("\\u0b1nf\x00\x1b\x7f\u202e a", max_size=8), max_size=4), st.booleans())
def test_escapes_are_told_from_text_that_looks_like_them(texts: list[str], plain: bool) -> None:  # noqa: FBT001
    safe = is_safe(json.dumps(texts, ensure_ascii=not plain))
    assert safe == (not unsafe_places(texts, 50)) == (not any(map(unsafe, "".join(texts))))


@pytest.mark.parametrize(("text", "said"), [
    ('"\\u001B"', False), ('"\\b"', False), ('"\\f"', False), ('"\\u202E"', False), ('"\\\\u001b"', True),
    ('"\\\\\\u001b"', False), ('"\\\\b"', True), ('"\\r\\n\\t"', True), ('"\x7f"', False), ('"\\u200e"', True),
    ('"a\\rb"', False), ('"a\\n\\rb"', False), ('"a\\r"', False), ('"a\\r\\r\\n"', False), ('"\\u000Db"', False),
    ('"a\\r\\u000Ab"', True), ('"\\u000d\\n"', True), ('"\\\\r"', True), ('"\\\\\\r"', False), ('"\\r\\\\n"', False),
    ('[\r"a",\r\n "\\n"\r]', True),
])  # fmt: skip
def test_as_it_is_written(text: str, said: bool) -> None:  # noqa: FBT001
    assert is_safe(text) == said
    assert (not unsafe_places(json.loads(text), 1)) == said


def test_every_text_of_every_example_is_refused_with_an_escape_in_it(client: TestClient) -> None:
    """Wherever it stands: what the schema limits further may refuse it first, but nothing takes it."""
    paths = {row["operationId"]: path for path, ops in client.get("/openapi.json").json()["paths"].items()
             for row in ops.values()}  # fmt: skip
    tried = 0
    for name in sorted(examples().keys() - {"bulk"}):
        value = next(iter(examples()[name].values()))["value"]
        for path in texts_of(value):
            refused = client.post(paths[name], json=with_escape(value, path))
            assert refused.status_code == 422, (name, path)
            assert refused.json()["errors"][0]["pointer"] == "#/" + "/".join(map(str, path))
            tried += 1
    assert tried > 200


def texts_of(value: object) -> list[tuple[str | int, ...]]:
    if isinstance(value, str):
        return [()]
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [(step, *path) for step, part in parts for path in texts_of(part)][:40]


def with_escape(value: object, path: tuple[str | int, ...]) -> object:
    copy: object = json.loads(json.dumps(value))
    whole = copy
    for step in path[:-1]:
        whole = whole[step]  # type: ignore[index]
    whole[path[-1]] += "\x1b[2J"  # type: ignore[index]
    return copy


def test_one_call_of_a_list_harms_no_other(client: TestClient) -> None:
    calls = [{"note": "smell of gas in the cellar, people are dizzy", "reference": "a"}, {"note": "oil \x1b[2J"},
             {"reference": "\u202eb", "note": "too warm"}]  # fmt: skip
    answer = client.post("/v1/dispatch", json={"calls": calls})
    assert answer.status_code == 200
    first, second, third = answer.json()["result"]["calls"]
    assert first["outcome"]["priority"] is not None
    assert second["problem"]["errors"][0]["pointer"] == "#/calls/1/note"
    assert (third["reference"], third["problem"]["status"]) == (None, 422)
    assert third["outcome"]["call_back"]  # its note alone is answered
    assert client.post("/v1/dispatch", json={"note": "\x1b"}).status_code == 422


def test_lines_and_other_scripts_stay(client: TestClient) -> None:
    text = "l1\r\nl2\tmasse 0,3 MΩ \u200e🔧 компрессор"
    answer = client.post("/v1/findings/match", json={"text": text})
    assert answer.status_code == 200


def test_names_are_told_short_and_escaped(client: TestClient) -> None:
    body = {"x" * 5000: 1, "\x1b[2J\u202e": 2}
    problem = client.post("/v1/saturation", json=body)
    assert problem.status_code == 422
    assert problem.text.isascii()
    assert problem.text.isprintable()
    plain = client.post("/v1/saturation", json={f"{n}-" + "x" * 5000: 1 for n in range(100)})
    assert max(len(error["pointer"]) for error in plain.json()["errors"]) <= 82
    assert len(plain.content) < 10_000


def test_a_large_body_is_searched_once(client: TestClient) -> None:
    body = b'{"text": "' + b"\\\\" * 400_000 + b'\\u001b"}'
    begun = time.process_time()
    answer = client.post("/v1/findings/match", content=body, headers={"content-type": "application/json"})
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/unusable-input")
    assert time.process_time() - begun < 30  # quadratic, it would take hours


@pytest.mark.parametrize("name", ["\n", "a\nb", "a\r"])
def test_names_are_one_line(client: TestClient, name: str) -> None:
    body = next(iter(examples()["balance_debris"].values()))["value"]
    body = {**body, "parts": [{**body["parts"][0], "name": name}]}
    answer = client.post("/v1/debris-balance", json=body)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].endswith("/name")


def _patterns(document: Any) -> Iterator[str]:
    if isinstance(document, dict):
        yield from (value for key, value in document.items() if key == "pattern" and isinstance(value, str))
        document = list(document.values())
    if isinstance(document, list):
        yield from (pattern for part in document for pattern in _patterns(part))


def test_every_pattern_of_the_document_is_told_in_words() -> None:
    """Nobody who sends a name or a moment that does not fit is shown a regular expression."""
    patterns = set(_patterns(app.openapi()))
    assert len(patterns) >= 4
    assert [pattern for pattern in patterns if not shape_in_words(pattern)] == []
