"""A body beyond some kilobytes is read apart from the event loop, with the same answer as a small one."""

from __future__ import annotations

import json
import threading
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api import strict_json
from witnessmark.api.openapi import examples
from witnessmark.api.strict_json import READ_AT_ONCE, decode

JSON = {"content-type": "application/json"}
READING = {
    "refrigerant": "R-410A", "pressure": {"value": 118, "unit": "psig"}, "temperature": {"value": 52, "unit": "degF"},
}  # fmt: skip


@pytest.fixture
def readers(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the threads that bodies were read in."""
    names: list[str] = []

    def noted(body: bytes) -> Any:
        names.append(threading.current_thread().name)
        return decode(body)

    monkeypatch.setattr(strict_json, "decode", noted)
    return names


def asked(client: TestClient, path: str, body: bytes) -> tuple[int, Any]:
    answer = client.post(path, content=body, headers=JSON)
    return answer.status_code, answer.json()


def padded(body: bytes) -> bytes:
    """The same value of JSON with blanks before it."""
    return b" " * READ_AT_ONCE + body


def test_only_a_large_one_is_read_elsewhere(client: TestClient, readers: list[str]) -> None:
    small = json.dumps(READING).encode()
    assert asked(client, "/v1/superheat", small) == asked(client, "/v1/superheat", padded(small))
    assert [name.startswith("slow-work") for name in readers] == [False, True]


@pytest.mark.parametrize(
    "body",
    [
        {**READING, "pressure": {"value": 118, "unit": "psi"}},
        {**READING, "pressure": "118 psig", "unknown": 1},
        {**READING, "refrigerant": "R-999"},
        {**READING, "refrigerant": "R-410A\x1b"},
        {**READING, "pressure": {"value": 1e6, "unit": "psig"}},
        [],
        None,
    ],
    ids=["unit", "several", "name", "control", "range", "list", "null"],
)
def test_a_large_one_is_refused_alike(client: TestClient, body: Any, readers: list[str]) -> None:
    small = json.dumps(body).encode()
    status, problem = asked(client, "/v1/superheat", small)
    assert status == 422
    assert asked(client, "/v1/superheat", padded(small)) == (status, problem)
    assert readers[1].startswith("slow-work")


@pytest.mark.parametrize("body", [b"{", b"[NaN]", b'{"a":1,"a":2}', b"[" * 50_000, b"\xff", b'"\\ud800"'], ids=repr)
def test_what_is_no_strict_json_is_400_there_too(client: TestClient, body: bytes) -> None:
    status, problem = asked(client, "/v1/superheat", padded(body[:40_000]))
    assert (status, problem["type"]) == (400, "/problems/malformed-json")


@pytest.mark.parametrize("name", ["plan_cleanup", "evacuation", "dispatch"])
def test_examples_are_answered_alike(client: TestClient, name: str) -> None:
    """One whose answer names units of the request, one with long lists, one whose parts are looked at apart."""
    document = client.get("/openapi.json").json()["paths"]
    (path,) = [p for p, rows in document.items() if any(row["operationId"] == name for row in rows.values())]
    body = json.dumps({**next(iter(examples()[name].values()))["value"], "report_in": "as-sent"}).encode()
    assert asked(client, path, padded(body)) == asked(client, path, body)


def test_many_faults_are_counted_and_some_named(client: TestClient) -> None:
    """A hundred thousand names that are none: the problem is made apart too."""
    observations = [{f"u{k}": 1 for k in range(190)} for _ in range(300)]
    status, problem = asked(client, "/v1/evacuation", json.dumps({"decay": {"readings": observations}}).encode())
    assert status == 422
    assert len(problem["errors"]) == 50
