"""Routes with nothing but a body refuse and answer what the framework's own way does."""

import asyncio
import json
from typing import Any

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from witnessmark.api import strict_json
from witnessmark.api.app import app
from witnessmark.api.openapi import examples
from witnessmark.api.routes.saturation import superheat
from witnessmark.api.strict_json import StrictRoute
from witnessmark.api.transport import Transport

GOOD = next(iter(examples()["superheat"].values()))["value"]
BODIES: list[bytes] = [
    json.dumps(GOOD).encode(),
    json.dumps({**GOOD, "report_in": "IP"}).encode(),
    b"", b"null", b"[]", b'"text"', b"{", b"{}", b'{"refrigerant": "R-410A"}', b"\xff", b'{"a": 1, "a": 2}',
    json.dumps({**GOOD, "refrigerant": "R-12345"}).encode(),
    json.dumps({**GOOD, "more": 1}).encode(),
    json.dumps({**GOOD, "pressure": {"value": "118", "unit": "psig"}}).encode(),
    json.dumps({**GOOD, "pressure": {"value": 1e9, "unit": "psig"}}).encode(),
    json.dumps({**GOOD, "compressor": "none such", "place": 7}).encode(),
]  # fmt: skip


def way(*, short: bool, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    """A service of one operation; without the short way the framework sees to it."""
    with monkeypatch.context() as patch:
        if not short:
            patch.setattr(strict_json, "_short", lambda _route: None)
        route = StrictRoute("/v1/superheat", superheat, methods=["POST"])
    assert (route.app == route._answer) is short  # noqa: SLF001 - which of the two it is
    handlers: Any = app.exception_handlers
    made = FastAPI(exception_handlers=handlers)
    made.router.routes.append(route)
    return TestClient(made, raise_server_exceptions=False)


@pytest.mark.parametrize("body", BODIES, ids=range(len(BODIES)))
def test_both_ways_answer_alike(body: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    headers = {"content-type": "application/json"}
    answers = [
        way(short=short, monkeypatch=monkeypatch).post("/v1/superheat", content=body, headers=headers)
        for short in (True, False)
    ]
    assert answers[0].status_code == answers[1].status_code
    assert answers[0].content == answers[1].content
    assert answers[0].headers["content-type"] == answers[1].headers["content-type"]


def test_a_caller_who_goes_before_the_body_came_is_sent_nothing_of_a_result() -> None:
    messages = iter([{"type": "http.request", "body": b'{"re', "more_body": True}, {"type": "http.disconnect"}])
    sent: list[Any] = []

    async def receive() -> Any:
        return next(messages)

    async def send(message: Any) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": "POST", "path": "/v1/superheat", "query_string": b"",
        "headers": [(b"content-type", b"application/json")],
    }  # fmt: skip
    asyncio.run(Transport(app)(scope, receive, send))
    assert sent[0]["status"] == 400
