"""Nothing of what callers send is found in the log, in the counts or in a problem: marked strings are looked for."""

import json
import logging
from collections.abc import Iterator
from typing import Any

import pytest
import structlog
from starlette.testclient import TestClient

from witnessmark.api.edge import logs
from witnessmark.api.openapi import examples

MARK, NUMBER = "zqxMarkedzqx", 271.8281828
MOST = 6
"""Texts of one operation that are marked one by one."""


@pytest.fixture
def logged(capsys: pytest.CaptureFixture[str]) -> Iterator[pytest.CaptureFixture[str]]:
    """Logging as the service configures it."""
    logs.configure()
    structlog.configure(cache_logger_on_first_use=False)  # else the loggers of the service keep it for good
    yield capsys
    structlog.reset_defaults()
    logging.captureWarnings(capture=False)
    logging.basicConfig(handlers=[], force=True)


def places(value: Any, kind: type) -> list[tuple[Any, Any]]:
    """(container, step) of every text or number below."""
    steps = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    found: list[tuple[Any, Any]] = []
    for step, part in steps:
        fits = isinstance(part, kind) and not isinstance(part, bool)
        found += [(value, step)] if fits else places(part, kind)
    return found


def marked(value: Any) -> Iterator[Any]:
    """The request with one text marked, with all of them, with every number marked, and with a field too many."""
    copy = json.loads(json.dumps(value))
    for number in range(min(MOST, len(places(copy, str)))):
        one = json.loads(json.dumps(value))
        holder, step = places(one, str)[number]
        holder[step] = f"{holder[step]} {MARK}"
        yield one
    for holder, step in places(copy, str):
        holder[step] = MARK
    yield copy
    numbers = json.loads(json.dumps(value))
    for holder, step in places(numbers, (float, int)):  # type: ignore[arg-type]
        holder[step] = NUMBER
    yield numbers
    yield {**value, "unknown": MARK}


HEADERS = {"x-request-id": MARK, "user-agent": MARK, "referer": f"http://{MARK}", "authorization": f"Bearer {MARK}",
           "traceparent": MARK, "cookie": f"a={MARK}", "x-forwarded-for": MARK}  # fmt: skip


@pytest.mark.parametrize("name", sorted(examples().keys() - {"bulk"}))
def test_marked_requests_leave_no_mark(
    client: TestClient, name: str, logged: pytest.CaptureFixture[str], paths: dict[str, str]
) -> None:
    value = next(iter(examples()[name].values()))["value"]
    answers = [client.post(paths[name], json=body, headers=HEADERS) for body in marked(value)]
    problems = [answer.text for answer in answers if answer.status_code >= 400]
    headers = str([answer.headers for answer in answers])
    lines, counts = logged.readouterr(), client.get("/metrics").text
    assert lines.out.count('"event": "request"') >= len(answers)
    assert problems
    for told in (lines.out, lines.err, counts, headers, *problems):
        assert MARK.lower() not in told.lower()
    for told in (lines.out, lines.err, counts, *problems):
        assert str(NUMBER) not in told
    assert all(answer.status_code < 500 for answer in answers)


@pytest.fixture(scope="module")
def paths(client: TestClient) -> dict[str, str]:
    """The address of each operation."""
    document = client.get("/openapi.json").json()["paths"]
    return {row["operationId"]: path for path, rows in document.items() for row in rows.values()}


def test_addresses_and_what_is_no_json_leave_no_mark(client: TestClient, logged: pytest.CaptureFixture[str]) -> None:
    answers = [
        client.get(f"/v1/refrigerants/{MARK}"), client.get(f"/v1/{MARK}%20a"), client.get(f"/docs/{MARK}!"),
        client.get("/v1/refrigerants", params={"report_in": MARK}),
        client.post("/v1/saturation", content=f'{{"a": {MARK}', headers={"content-type": "application/json"}),
        client.post("/v1/saturation", content=MARK, headers={"content-type": MARK}),
        client.post("/v1/bulk/superheat", content=f"{MARK}\n{MARK}\n", headers={"content-type": "text/csv"}),
        client.request(MARK, "/v1/saturation"),
    ]  # fmt: skip
    assert all(400 <= answer.status_code < 500 for answer in answers)
    told = logged.readouterr().out + client.get("/metrics").text
    assert MARK.lower() not in told.lower()


def test_verdicts_are_counted_by_their_word(client: TestClient) -> None:
    for name, path in (("diagnose", "/v1/diagnosis"), ("restart", "/v1/restart")):
        before = counted(client)
        answer = client.post(path, json=next(iter(examples()[name].values()))["value"]).json()["result"]["verdict"]
        word = answer["state"] if isinstance(answer, dict) else answer
        (line,) = [line for line, number in counted(client).items() if number == before.get(line, 0) + 1]
        assert f'verdict="{word}"' in line


def counted(client: TestClient) -> dict[str, float]:
    lines = [line.rpartition(" ") for line in client.get("/metrics").text.splitlines()]
    return {name: float(number) for name, _, number in lines if name.startswith("witnessmark_verdicts_total{")}
