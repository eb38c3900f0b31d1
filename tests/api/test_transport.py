"""What any address does with bad requests, seen through the whole stack."""

import asyncio
import json

import anyio
import pytest
import structlog
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from witnessmark.api.app import app
from witnessmark.api.edge.caller import GoneError
from witnessmark.api.edge.in_flight import in_flight
from witnessmark.api.transport import Transport

GOOD = {"refrigerant": "R-410A", "temperature": {"value": 5, "unit": "degC"}}
JSON = {"content-type": "application/json"}
PROBLEM = "application/problem+json"


def posted(client: TestClient, content: bytes, headers: dict[str, str] | None = None) -> tuple[int, dict[str, object]]:
    response = client.post("/v1/saturation", content=content, headers=JSON if headers is None else headers)
    assert response.headers["content-type"] == PROBLEM
    assert response.headers["x-content-type-options"] == "nosniff"
    problem: dict[str, object] = response.json()
    assert problem["status"] == response.status_code
    return response.status_code, problem


@pytest.mark.parametrize(
    "content",
    [
        b"{", b"NaN", b'{"a":1,"a":2}', b"[" * 100_000, b'{"refrigerant":"\\ud800"}', b"\xff\xfe", b"1e999",
        b'{"refrigerant":"R-410A","temperature":{"value":NaN,"unit":"degC"}}',
    ],
)  # fmt: skip
def test_what_is_not_strict_json_is_400(client: TestClient, content: bytes) -> None:
    status, problem = posted(client, content)
    assert (status, problem["type"]) == (400, "/problems/malformed-json")


@pytest.mark.parametrize("headers", [{}, {"content-type": "text/plain"}, {"content-type": "application/jsonx"}])
def test_other_media_types_are_415(client: TestClient, headers: dict[str, str]) -> None:
    assert posted(client, json.dumps(GOOD).encode(), headers)[0] == 415


def test_compressed_bodies_are_415(client: TestClient) -> None:
    assert posted(client, json.dumps(GOOD).encode(), JSON | {"content-encoding": "gzip"})[0] == 415


def test_fifty_megabytes_are_413(client: TestClient) -> None:
    assert posted(client, b" " * 50_000_000)[0] == 413


def test_no_such_address_is_404(client: TestClient) -> None:
    response = client.get("/v1/nothing")
    assert (response.status_code, response.headers["content-type"]) == (404, PROBLEM)
    assert client.get("/v1/saturation/").status_code == 404


@pytest.mark.parametrize("method", ["GET", "PUT", "DELETE", "PATCH", "TRACE", "QUERY", "OPTIONS"])
def test_other_methods_are_405_with_allow(client: TestClient, method: str) -> None:
    response = client.request(method, "/v1/saturation")
    assert (response.status_code, response.headers["allow"]) == (405, "POST")
    assert response.headers["content-type"] == PROBLEM


def test_a_parameter_that_nothing_takes_is_422(client: TestClient) -> None:
    for query, pointer in (("site=sea", "#/query/site"), ("a=1&a=2&b=3", "#/query/b")):
        answer = client.post(f"/v1/saturation?{query}", json=GOOD)
        assert (answer.status_code, answer.headers["content-type"]) == (422, PROBLEM)
        assert pointer in [error["pointer"] for error in answer.json()["errors"]]


def test_a_parameter_given_twice_is_422(client: TestClient) -> None:
    answer = client.get("/v1/refrigerants?report_in=IP&report_in=SI")
    assert answer.status_code == 422
    assert answer.json()["errors"] == [
        {"pointer": "#/query/report_in", "detail": "is given more than once; accepted: once"}
    ]


TEXT_FOR_NUMBER = "should be a number and is text: with a decimal point, without quotes, unit or mark of thousands"


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({}, "is required"),
        ({**GOOD, "tempreature": 1}, "no such field"),
        (
            {**GOOD, "temperature": 5},
            'should be an object: a number with its unit, such as {"value": 1, "unit": "degC"}',
        ),
        ({**GOOD, "temperature": {"value": "5", "unit": "degC"}}, TEXT_FOR_NUMBER),
        ({**GOOD, "temperature": {"value": "41 F", "unit": "degC"}}, TEXT_FOR_NUMBER),
        ({**GOOD, "temperature": {"value": True, "unit": "degC"}}, "should be a number and is true or false"),
        (
            {**GOOD, "temperature": {"value": None, "unit": "degC"}},
            "should be a number and is null: leave out what was not read",
        ),
        ({**GOOD, "temperature": {"value": 10**400, "unit": "degC"}}, "should be a number within double precision"),
        ({**GOOD, "temperature": {"value": 1e300, "unit": "degC"}}, "should be less than or equal to 1000000000000000"),
        ({**GOOD, "temperature": {"value": 5, "unit": "psig"}}, "should be 'degC', 'degF' or 'K'"),
        ({**GOOD, "pressure": {"value": 5, "unit": "psig"}}, "give either temperature or pressure"),
        ([], "should be an object"),
    ],
)
def test_what_is_wrong_is_said_without_a_word_of_the_machinery(client: TestClient, body: object, said: str) -> None:
    _, problem = posted(client, json.dumps(body).encode())
    errors = problem["errors"]
    assert isinstance(errors, list)
    assert said in [error["detail"] for error in errors]


def test_too_large_and_wrong_method_say_what_is_taken(client: TestClient) -> None:
    _, problem = posted(client, b" " * 1_000_001)
    assert (problem["title"], problem["detail"]) == ("Content Too Large", "the body is larger than 1000000 bytes")
    assert client.put("/livez").json()["detail"] == "this address takes GET, HEAD"


def test_head_is_get_without_the_body(client: TestClient) -> None:
    response = client.head("/livez")
    assert (response.status_code, response.content) == (200, b"")


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "#/refrigerant"),
        ({**GOOD, "tempreature": 1}, "#/tempreature"),
        ({**GOOD, "refrigerant": 410}, "#/refrigerant"),
        ({**GOOD, "temperature": 5}, "#/temperature"),
        ({**GOOD, "temperature": {"value": "5", "unit": "degC"}}, "#/temperature/value"),
        ({**GOOD, "temperature": {"value": 5, "unit": "psig"}}, "#/temperature/unit"),
        ({**GOOD, "pressure": {"value": 5, "unit": "psig"}}, "#"),
        ([], "#"),
    ],
)
def test_a_body_that_does_not_fit_the_schema_is_422(client: TestClient, body: object, pointer: str) -> None:
    status, problem = posted(client, json.dumps(body).encode())
    assert (status, problem["type"]) == (422, "/problems/invalid-input")
    errors = problem["errors"]
    assert isinstance(errors, list)
    assert pointer in [e["pointer"] for e in errors]


def test_an_empty_body_is_422_at_its_root(client: TestClient) -> None:
    status, problem = posted(client, b"")
    assert (status, problem["type"]) == (422, "/problems/invalid-input")


def test_unknown_refrigerant_is_told_the_near_ones(client: TestClient) -> None:
    _, problem = posted(client, json.dumps({**GOOD, "refrigerant": "R-41OA"}).encode())
    assert "R-410A" in str(problem["errors"])
    assert "R-41OA" not in json.dumps(problem)


@pytest.mark.parametrize(
    ("temperature", "unit"), [(500, "degC"), (-200, "degC"), (900, "degF"), (0, "K"), (-1, "K"), (1e14, "K")]
)
def test_outside_the_curve_is_out_of_range_in_the_caller_s_unit(
    client: TestClient, temperature: float, unit: str
) -> None:
    body = {**GOOD, "temperature": {"value": temperature, "unit": unit}}
    status, problem = posted(client, json.dumps(body).encode())
    assert (status, problem["type"]) == (422, "/problems/out-of-range")
    assert str(problem["errors"]).count(f" {unit}'") == 1


def test_gauge_below_vacuum_is_no_pressure(client: TestClient) -> None:
    body = {"refrigerant": "R-410A", "pressure": {"value": -20, "unit": "psig"}}
    status, problem = posted(client, json.dumps(body).encode())
    assert (status, problem["type"]) == (422, "/problems/unusable-input")
    assert "deeper than possible" in str(problem["errors"])


async def reader(_scope: Scope, receive: Receive, _send: Send) -> None:
    """An application that reads the body and handles nothing."""
    while (await receive()).get("more_body"):
        pass


@pytest.mark.anyio
@pytest.mark.parametrize("inner", [reader, app], ids=["any application", "the service"])
async def test_a_body_that_never_ends_is_408(inner: ASGIApp) -> None:
    sent: list[Message] = []

    async def dripping() -> Message:
        await anyio.sleep(0.05)
        return {"type": "http.request", "body": b" ", "more_body": True}

    async def send(message: Message) -> None:
        sent.append(message)

    scope: Scope = {"type": "http", "method": "POST", "path": "/v1/saturation", "query_string": b""}
    scope["headers"] = [(b"content-type", b"application/json")]
    await Transport(inner, body_seconds=0.2)(scope, dripping, send)
    assert sent[0]["status"] == 408
    assert (b"connection", b"close") in sent[0]["headers"]
    assert json.loads(sent[1]["body"])["type"] == "/problems/request-timeout"


def test_a_catalogue_can_be_kept_and_asked_for_again(client: TestClient) -> None:
    first = client.get("/v1/refrigerants/R-32")
    tag = first.headers["etag"]
    assert first.headers["cache-control"] == "public, max-age=86400"
    assert tag.startswith('W/"')  # weak, since the answer may be packed or not
    for known in (tag, tag[2:], f'"other", {tag}', "*"):
        again = client.get("/v1/refrigerants/R-32", headers={"if-none-match": known})
        assert (again.status_code, again.content) == (304, b"")
    assert client.get("/v1/refrigerants/R-32", headers={"if-none-match": '"other"'}).status_code == 200


def test_a_large_answer_is_packed_for_whoever_takes_it(client: TestClient) -> None:
    packed = client.get("/v1/refrigerants", headers={"accept-encoding": "gzip"})
    plain = client.get("/v1/refrigerants", headers={"accept-encoding": "identity"})
    assert (packed.headers["content-encoding"], "content-encoding" in plain.headers) == ("gzip", False)
    assert packed.json() == plain.json()
    assert int(packed.headers["content-length"]) < int(plain.headers["content-length"]) / 3
    assert "content-encoding" not in client.get("/livez").headers


def test_every_answer_can_be_found_again(client: TestClient) -> None:
    parent = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01"
    answer = client.get("/nowhere", headers={"traceparent": parent, "x-request-id": "0123abcd-99"})
    version, trace, span, flags = answer.headers["traceparent"].split("-")
    assert (version, trace, flags) == ("00", parent[3:35], "01")
    assert span != parent[36:52]
    assert answer.headers["x-request-id"] == "0123abcd-99"
    assert answer.headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"


MARK = "marked-9f3b1c"


def test_nothing_that_a_caller_sends_is_told_to_the_operator(client: TestClient) -> None:
    """Free text, readings, names, headers: none of it in a log line, a count or a problem."""
    bodies = [
        ("/v1/findings/match", {"text": f"{MARK} trips the breaker"}),
        ("/v1/dispatch", {"note": f"burnt smell {MARK}", "reference": MARK}),
        ("/v1/saturation", {"refrigerant": MARK, "temperature": {"value": 5, "unit": MARK}}),
        ("/v1/saturation", {**GOOD, "temperature": {"value": MARK, "unit": "degC"}}),
        ("/v1/cleanup/plan", {"site_name": MARK, "reference": MARK, "time_zone": MARK}),
    ]
    headers = {"user-agent": MARK, "x-request-id": MARK, "traceparent": MARK, "authorization": MARK, "x-api-key": MARK}
    with structlog.testing.capture_logs() as told:
        answers = [client.post(path, json=body, headers=headers) for path, body in bodies]
        client.get(f"/v1/refrigerants/{MARK}", headers=headers)
        client.get(f"/nowhere/{MARK} {MARK}?q={MARK}", headers=headers)
        counted = client.get("/metrics").text
    assert len(told) == len(bodies) + 3
    assert MARK not in repr(told)
    assert MARK not in counted
    for answer in answers:
        assert MARK not in repr(answer.headers)
        if answer.status_code >= 400:
            assert MARK not in answer.text


@pytest.mark.anyio
async def test_who_is_gone_is_noted_and_not_answered() -> None:
    sent: list[Message] = []

    async def leaving(_scope: Scope, _receive: Receive, _send: Send) -> None:
        raise GoneError

    with structlog.testing.capture_logs() as told:
        await Transport(leaving)(SCOPE, never, collecting(sent))
    assert sent == []
    assert told[0]["status"] == 499


@pytest.mark.anyio
@pytest.mark.parametrize("begun", [False, True])
async def test_what_is_not_answered_when_the_time_to_drain_is_over_is_refused(*, begun: bool) -> None:
    sent: list[Message] = []

    async def slow(_scope: Scope, _receive: Receive, send: Send) -> None:
        if begun:
            await send({"type": "http.response.start", "status": 200, "headers": []})
        await anyio.sleep(60)

    task = asyncio.create_task(Transport(slow)(SCOPE, never, collecting(sent)))
    await anyio.sleep(0.01)
    in_flight.refuse_all()
    await task
    if begun:
        assert [message.get("status") for message in sent] == [200]
    else:
        assert (sent[0]["status"], json.loads(sent[1]["body"])["type"]) == (503, "/problems/unavailable")
    assert in_flight.exchanges == set()


@pytest.mark.anyio
async def test_any_other_cancellation_goes_on() -> None:
    task = asyncio.create_task(Transport(lambda *_: anyio.sleep(60))(SCOPE, never, collecting([])))
    await anyio.sleep(0.01)
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task


SCOPE: Scope = {"type": "http", "method": "GET", "path": "/livez", "query_string": b"", "headers": []}


async def never() -> Message:
    await anyio.sleep(60)
    raise AssertionError("waited for")


def collecting(sent: list[Message]) -> Send:
    async def send(message: Message) -> None:
        sent.append(message)

    return send


def test_a_word_in_other_letters_is_refused_with_the_right_one(client: TestClient) -> None:
    body = {"refrigerant": "R-410A", "compressor": "Scroll"}
    problem = client.post("/v1/compression", json=body).json()
    (detail,) = [error["detail"] for error in problem["errors"] if error["pointer"] == "#/compressor"]
    assert detail.endswith("; perhaps 'scroll' is meant: words stand in small letters, with hyphens")
    problem = client.post("/v1/compression", json={**body, "compressor": "swirl"}).json()
    assert "perhaps" not in str(problem)


def test_a_byte_order_mark_before_json_is_left_out(client: TestClient) -> None:
    marked, plain = (
        client.post("/v1/saturation", content=mark + json.dumps(GOOD).encode(), headers=JSON)
        for mark in (b"\xef\xbb\xbf", b"")
    )
    assert (marked.status_code, marked.json()) == (200, plain.json())
