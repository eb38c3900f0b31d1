"""What any address does with bad requests, seen through the whole stack."""

import json

import anyio
import pytest
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from witnessmark.api.app import app
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


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({}, "is required"),
        ({**GOOD, "tempreature": 1}, "no such field"),
        ({**GOOD, "temperature": 5}, "should be an object"),
        ({**GOOD, "temperature": {"value": "5", "unit": "degC"}}, "should be a number within double precision"),
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
    for known in (tag, f'"other", W/{tag}', "*"):
        again = client.get("/v1/refrigerants/R-32", headers={"if-none-match": known})
        assert (again.status_code, again.content) == (304, b"")
    assert client.get("/v1/refrigerants/R-32", headers={"if-none-match": '"other"'}).status_code == 200
