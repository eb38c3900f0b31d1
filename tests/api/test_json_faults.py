"""Fields that break a rule of I-JSON (RFC 7493, section 2) are named."""

import json
import time

import pytest
from starlette.testclient import TestClient

from witnessmark.api.json_faults import faults
from witnessmark.api.strict_json import decode, where


@pytest.mark.parametrize(
    ("text", "path", "accepted"),
    [
        ('{"a": [1, NaN]}', ("a", 1), "finite"),
        ('{"a": {"b": -Infinity}}', ("a", "b"), "finite"),
        ('{"a": 1e999}', ("a",), "1e308"),
        ('{"a": ' + "1" * 5000 + "}", ("a",), "digits"),
        ('{"a": {"b": 1, "b": 2}}', ("a", "b"), "once"),
        ('{"a": "\\ud800"}', ("a",), "whole"),
        ('{"\\udfff": 1}', ("\udfff",), "whole"),
        ("NaN", (), "finite"),
    ],
)
def test_each_rule_names_its_field_and_what_is_accepted(text: str, path: tuple[str | int, ...], accepted: str) -> None:
    ((found, said),) = faults(text, 9)
    assert found == path
    assert accepted in said.partition("; accepted: ")[2]


@pytest.mark.parametrize("text", ["{", "", "[" * 100_000, '{"a": 1.5, "b": [2, "x", null]}'])
def test_nothing_is_named_where_there_is_no_json_or_no_fault(text: str) -> None:
    assert faults(text, 9) == []


def test_they_come_in_the_order_of_the_text_and_no_more_than_asked_for() -> None:
    text = '{"a": [NaN, {"b": 1e999}], "c": Infinity}'
    assert [path for path, _ in faults(text, 9)] == [("a", 0), ("a", 1, "b"), ("c",)]
    assert len(faults(text, 2)) == 2


def test_deep_but_readable_nesting_is_searched() -> None:
    ((path, _),) = faults("[" * 400 + "NaN" + "]" * 400, 9)
    assert path == (0,) * 400


@pytest.mark.parametrize(
    ("value", "pointer"),
    [("NaN", "#/temperature/value"), ("1e999", "#/temperature/value"), ('5, "value": 6', "#/temperature/value")],
)
def test_the_problem_points_to_the_field(client: TestClient, value: str, pointer: str) -> None:
    body = f'{{"refrigerant": "R-32", "temperature": {{"value": {value}, "unit": "degC"}}}}'
    answer = client.post("/v1/saturation", content=body, headers={"content-type": "application/json"})
    assert (answer.status_code, answer.json()["type"]) == (400, "/problems/malformed-json")
    assert [error["pointer"] for error in answer.json()["errors"]] == [pointer]


def test_half_a_character_in_a_name_does_not_break_the_problem(client: TestClient) -> None:
    answer = client.post("/v1/saturation", content=b'{"\\ud800": 1}', headers={"content-type": "application/json"})
    assert answer.status_code == 400
    assert json.loads(answer.content)["errors"][0]["pointer"] == "#/?"


def test_a_large_body_is_refused_without_a_search() -> None:
    assert faults("[" + "NaN," * 10_000 + "1]", 50) == []
    assert len(faults("[" + "NaN," * 5_000 + "1]", 50)) == 50


@pytest.mark.parametrize(
    "body",
    [
        b"[" + b"NaN," * 249_000 + b"1]",
        b"[" + b"1e999," * 160_000 + b"1]",
        b"{" + b",".join(b'"a%d":1' % k for k in range(80_000)) + b"}",
        b"{" + b",".join(b'"\\ud800%d":1' % k for k in range(60_000)) + b"}",
        b"[" * 999_000,
    ],
    ids=["NaN", "1e999", "members", "half names", "deep"],
)
def test_the_dearest_bodies_of_a_megabyte_cost_little(body: bytes) -> None:
    """Read and judged: 0.9 s before there was a bound; a tenth of a second is left even on a busy machine."""
    began = time.thread_time()
    with pytest.raises((ValueError, RecursionError)):
        decode(body)
    assert where(body) == []
    assert time.thread_time() - began < 0.1
