import gzip
import json
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from email.utils import format_datetime
from types import ModuleType
from typing import Any

import anyio
import httpx2
import numpy as np
import pytest

import witnessmark_client
from witnessmark_client import (
    AsyncClient,
    Client,
    InvalidInputError,
    NotFoundError,
    ProblemError,
    RequestRefusedError,
    Retries,
    ServiceFaultError,
    TimeoutExceededError,
    TransportError,
    UnavailableError,
    UnexpectedAnswerError,
    UnsendableError,
    _clients,
    barg,
    degC,
    kPaa,
    psig,
    quantity,
)

Handler = Callable[[httpx2.Request], httpx2.Response]
QUICK = Retries(attempts=3, refusals=3, first_wait=0.001, longest_wait=0.002)
ANSWER = {
    "result": {"margin": {"value": 5, "unit": "K"}},
    "assumptions": ["sea level"],
    "cautions": [],
    "sources": [],
    "model_version": {"service": "0"},
}


def problem(status: int, **more: Any) -> httpx2.Response:
    body = {"type": "/problems/x", "title": "X", "status": status, **more}
    return httpx2.Response(status, json=body, headers={"content-type": "application/problem+json"})


def sync(handler: Handler) -> Any:
    with Client("http://service", retries=QUICK, transport=httpx2.MockTransport(handler)) as client:
        return client.superheat(refrigerant="R-410A", pressure=psig(118), temperature=degC(11, 0.5))


def asynchronous(handler: Handler) -> Any:
    async def go() -> Any:
        async with AsyncClient("http://service", retries=QUICK, transport=httpx2.MockTransport(handler)) as client:
            return await client.superheat(refrigerant="R-410A", pressure=psig(118), temperature=degC(11, 0.5))

    return anyio.run(go)


both = pytest.mark.parametrize("call", [sync, asynchronous])


@both
def test_request_and_answer(call: Callable[[Handler], Any]) -> None:
    seen: list[httpx2.Request] = []

    def handler(request: httpx2.Request) -> httpx2.Response:
        seen.append(request)
        return httpx2.Response(200, json=ANSWER)

    answer = call(handler)
    assert answer.result["margin"]["value"] == 5
    assert answer.assumptions == ("sea level",)
    (request,) = seen
    assert (request.method, request.url.path) == ("POST", "/v1/superheat")
    assert json.loads(request.content) == {
        "refrigerant": "R-410A",
        "pressure": {"value": 118, "unit": "psig"},
        "temperature": {"value": 11, "unit": "degC", "uncertainty": 0.5},
    }


@both
def test_503_is_tried_again(call: Callable[[Handler], Any]) -> None:
    answers = [problem(503), problem(503), httpx2.Response(200, json=ANSWER)]
    assert call(lambda _request: answers.pop(0)).result
    assert answers == []


@both
@pytest.mark.parametrize("status", [429, 502, 504])
def test_so_is_what_a_proxy_answers(call: Callable[[Handler], Any], status: int) -> None:
    answers = [httpx2.Response(status, text="busy"), httpx2.Response(200, json=ANSWER)]
    assert call(lambda _request: answers.pop(0)).result
    assert answers == []


@both
def test_a_wait_longer_than_the_time_is_not_begun(call: Callable[[Handler], Any]) -> None:
    begun = time.monotonic()
    with pytest.raises(UnavailableError):
        call(lambda _request: later("999999"))
    assert time.monotonic() - begun < 5


def later(moment: str) -> httpx2.Response:
    refused = problem(503)
    refused.headers["retry-after"] = moment
    return refused


def test_retry_after_may_be_a_date() -> None:
    soon = format_datetime(datetime.now(UTC) + timedelta(seconds=20), usegmt=True)
    assert 15 < Retries().wait(0, later(soon)) <= 30
    assert Retries().wait(0, later("Sun, 06 Nov 1994 08:49:37 GMT")) == 0
    assert Retries().wait(0, later("soon")) <= Retries().first_wait


class Dripping(httpx2.SyncByteStream, httpx2.AsyncByteStream):
    """An answer that never ends, a byte at a time."""

    def __iter__(self) -> Iterator[bytes]:
        while True:
            time.sleep(0.01)
            yield b" "

    async def __aiter__(self) -> AsyncIterator[bytes]:
        while True:
            await anyio.sleep(0.01)
            yield b" "


@both
def test_an_answer_that_drips_ends_with_the_time(
    call: Callable[[Handler], Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(globals(), "QUICK", Retries(total=0.2))
    with pytest.raises(TimeoutExceededError):
        call(lambda _request: httpx2.Response(200, stream=Dripping()))


@both
def test_an_answer_without_end_is_not_kept(call: Callable[[Handler], Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_clients, "LARGEST_ANSWER", 1000)
    packed = gzip.compress(b" " * 100_000)
    with pytest.raises(UnexpectedAnswerError):
        call(lambda _request: httpx2.Response(200, content=packed, headers={"content-encoding": "gzip"}))


@both
@pytest.mark.parametrize(
    "content",
    [b"[" * 200_000, b'{"result": ' + b"[" * 200_000, b'{"result": null}', b'{"result": {}, "assumptions": 1'],
    ids=["deep", "deep result", "no result", "cut"],
)  # fmt: skip
def test_an_odd_answer_is_unexpected(call: Callable[[Handler], Any], content: bytes) -> None:
    headers = {"content-type": "application/json"}
    with pytest.raises(UnexpectedAnswerError):
        call(lambda _request: httpx2.Response(200, content=content, headers=headers))


@both
def test_missing_lists_are_empty(call: Callable[[Handler], Any]) -> None:
    assert call(lambda _request: httpx2.Response(200, json={"result": {}, "assumptions": None})).assumptions == ()


@pytest.mark.parametrize("value", [float("nan"), Decimal("NaN"), object(), np.float32("inf")])
def test_what_json_cannot_hold_is_not_sent(value: Any) -> None:
    transport = httpx2.MockTransport(lambda _r: problem(500))
    with Client("http://service", transport=transport) as client, pytest.raises(UnsendableError):
        client.superheat(refrigerant="R-410A", pressure=psig(118), temperature={"value": value, "unit": "degC"})


@pytest.mark.parametrize("value", [Decimal("51.5"), np.float32(51.5), np.float64(51.5), np.array(51.5)])
def test_numbers_of_other_libraries_are_sent_as_numbers(value: Any) -> None:
    sent: list[Any] = []

    def taken(request: httpx2.Request) -> httpx2.Response:
        sent.append(json.loads(request.content)["temperature"]["value"])
        return httpx2.Response(200, json={"result": {}})

    with Client("http://service", transport=httpx2.MockTransport(taken)) as client:
        client.superheat(refrigerant="R-410A", pressure=psig(118), temperature={"value": value, "unit": "degC"})
    assert sent == [51.5]


def test_a_closed_client_says_so() -> None:
    client = Client("http://service", transport=httpx2.MockTransport(lambda _r: problem(500)))
    client.close()
    with pytest.raises(TransportError, match="closed"):
        client.livez()


def test_headers_and_credentials_are_sent() -> None:
    seen: list[httpx2.Request] = []

    def handler(request: httpx2.Request) -> httpx2.Response:
        seen.append(request)
        return httpx2.Response(200, json={"status": "alive"})

    transport = httpx2.MockTransport(handler)
    with Client("http://service", transport=transport, headers={"x-api-key": "k"}, auth=("u", "p")) as client:
        client.livez()
    assert seen[0].headers["x-api-key"] == "k"
    assert seen[0].headers["authorization"].startswith("Basic ")


@both
def test_503_at_the_end_is_an_error(call: Callable[[Handler], Any]) -> None:
    with pytest.raises(UnavailableError):
        call(lambda _request: problem(503))


@both
@pytest.mark.parametrize("kind", [httpx2.ConnectError, httpx2.ReadError, httpx2.RemoteProtocolError])
def test_a_connection_that_fails_is_tried_again(
    call: Callable[[Handler], Any], kind: type[httpx2.TransportError]
) -> None:
    tries: list[int] = []

    def handler(request: httpx2.Request) -> httpx2.Response:
        tries.append(1)
        if len(tries) < 2:
            raise kind("refused", request=request)
        return httpx2.Response(200, json=ANSWER)

    assert call(handler).result
    assert len(tries) == 2


def failing(error: type[httpx2.TransportError]) -> Handler:
    def handler(request: httpx2.Request) -> httpx2.Response:
        raise error("no", request=request)

    return handler


@both
@pytest.mark.parametrize(
    ("raised", "expected"),
    [
        (httpx2.ConnectError, TransportError),
        (httpx2.ReadTimeout, TimeoutExceededError),
        (httpx2.RemoteProtocolError, TransportError),
    ],
)
def test_no_answer(
    call: Callable[[Handler], Any], raised: type[httpx2.TransportError], expected: type[Exception]
) -> None:
    with pytest.raises(expected):
        call(failing(raised))


@both
@pytest.mark.parametrize(
    ("status", "kind"),
    [(400, RequestRefusedError), (404, NotFoundError), (413, RequestRefusedError), (422, InvalidInputError),
     (500, ServiceFaultError)],
)  # fmt: skip
def test_problems_become_exceptions(call: Callable[[Handler], Any], status: int, kind: type[ProblemError]) -> None:
    errors = [{"pointer": "#/pressure", "detail": "below the accepted range"}]
    with pytest.raises(kind) as caught:
        call(lambda _request: problem(status, errors=errors))
    assert caught.value.pointers == ["#/pressure"]
    assert "#/pressure: below" in str(caught.value)
    assert caught.value.status == status


@both
@pytest.mark.parametrize(
    "response",
    [
        lambda: httpx2.Response(502, text="bad gateway"),
        lambda: httpx2.Response(200, text="{", headers={"content-type": "application/json"}),
        lambda: httpx2.Response(200, json=[]),
        lambda: httpx2.Response(200, text="<h1>Sign in</h1>", headers={"content-type": "text/html"}),
        lambda: httpx2.Response(302, headers={"location": "http://other/"}),
    ],
)
def test_what_is_not_the_service_s(call: Callable[[Handler], Any], response: Callable[[], httpx2.Response]) -> None:
    with pytest.raises(UnexpectedAnswerError):
        call(lambda _request: response())


@both
def test_a_problem_with_the_least_that_rfc_9457_asks(call: Callable[[Handler], Any]) -> None:
    """RFC 9457, 3.1: every member may be missing; the status of the response counts."""
    bare = httpx2.Response(422, json={"errors": [{}, "x"]}, headers={"content-type": "application/problem+json"})
    with pytest.raises(InvalidInputError) as caught:
        call(lambda _request: bare)
    assert (caught.value.type, caught.value.status, caught.value.pointers) == ("about:blank", 422, ["#"])


def test_a_picture_is_bytes() -> None:
    picture = httpx2.Response(200, content=b"<svg/>", headers={"content-type": "image/svg+xml"})
    with Client("http://service", transport=httpx2.MockTransport(lambda _request: picture)) as client:
        answer = client.cycle_diagram(refrigerant="R-32", accept="image/svg+xml")
    assert (answer.content, answer.media_type) == (b"<svg/>", "image/svg+xml")


def test_retry_after_is_kept_to() -> None:
    asked = httpx2.Response(503, headers={"retry-after": "3"})
    waits = [Retries().wait(0, asked) for _ in range(100)]
    assert 3 <= min(waits) < max(waits) <= 4.5
    assert Retries(longest_wait=2).wait(0, asked) >= 3  # whoever asks sooner is only turned away again
    assert 0.4 <= Retries(first_wait=0.2).wait(2, None) <= 0.8


@both
def test_no_attempt_allowed(call: Callable[[Handler], Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(globals(), "QUICK", Retries(attempts=0))
    with pytest.raises(TransportError):
        call(lambda _request: problem(503))


def test_health_has_no_envelope() -> None:
    transport = httpx2.MockTransport(lambda _request: httpx2.Response(200, json={"status": "alive"}))
    with Client("http://service", transport=transport) as client:
        assert client.livez().result == {"status": "alive"}


def test_exports_are_exactly_what_is_public() -> None:
    names = vars(witnessmark_client).items()
    public = {name for name, value in names if not name.startswith("_") and not isinstance(value, ModuleType)}
    assert public == set(witnessmark_client.__all__)
    assert witnessmark_client.__all__ == sorted(witnessmark_client.__all__)


def test_short_ways_to_write_quantities() -> None:
    assert barg(1) == quantity(1, "barg")
    assert kPaa(850, 8) == {"value": 850, "unit": "kPaa", "uncertainty": 8}
    assert witnessmark_client.degF(50)["unit"] == "degF"


def catalogue(handler: Handler) -> list[Any]:
    with Client("http://service", retries=QUICK, transport=httpx2.MockTransport(handler)) as client:
        return [client.list_causes(), client.list_causes(), client.list_failure_modes()]


def catalogue_awaited(handler: Handler) -> list[Any]:
    async def go() -> list[Any]:
        async with AsyncClient("http://service", retries=QUICK, transport=httpx2.MockTransport(handler)) as client:
            return [await client.list_causes(), await client.list_causes(), await client.list_failure_modes()]

    return anyio.run(go)


@pytest.mark.parametrize("call", [catalogue, catalogue_awaited])
def test_a_catalogue_is_fetched_once_while_it_stays_the_same(call: Callable[[Handler], list[Any]]) -> None:
    asked: list[str | None] = []

    def handler(request: httpx2.Request) -> httpx2.Response:
        tag = f'W/"{request.url.path}"'
        asked.append(request.headers.get("if-none-match"))
        if asked[-1] == tag:
            return httpx2.Response(304, headers={"etag": tag})
        return httpx2.Response(200, json=ANSWER, headers={"etag": tag})

    answers = call(handler)
    assert asked == [None, 'W/"/v1/causes"', None]
    assert [answer.result for answer in answers] == [ANSWER["result"]] * 3


def test_a_changed_catalogue_is_taken_and_few_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_clients, "MOST_KEPT", 1)
    tags = iter("abcd")

    def handler(_request: httpx2.Request) -> httpx2.Response:
        return httpx2.Response(200, json=ANSWER | {"result": {"n": next(tags)}}, headers={"etag": "x"})

    with Client("http://service", retries=QUICK, transport=httpx2.MockTransport(handler)) as client:
        assert [client.list_causes().result["n"] for _ in range(2)] == ["a", "b"]
        client.list_failure_modes()
        assert len(client._kept._answers) == 1  # noqa: SLF001


@both
def test_304_for_what_was_never_fetched_is_unexpected(call: Callable[[Handler], Any]) -> None:
    with pytest.raises(UnexpectedAnswerError):
        call(lambda _request: httpx2.Response(304))


@both
@pytest.mark.parametrize("status", [401, 403])
def test_a_key_that_is_not_enough_is_refused_at_once(call: Callable[[Handler], Any], status: int) -> None:
    asked: list[int] = []

    def handler(_request: httpx2.Request) -> httpx2.Response:
        asked.append(status)
        return problem(status)

    with pytest.raises(RequestRefusedError):
        call(handler)
    assert asked == [status]


HOSTILE: list[Any] = [
    b"[" * 100_000, b"{}", b'{"result": null}', b"null", b'{"result": {}, "assumptions": null}', b"\xff\xfe", b"",
    b'{"result": {}, "assumptions": 5, "cautions": {"a": 1}, "sources": [1], "model_version": []}',
    b'{"result": {"a": ' + b"9" * 5000 + b"}}", b'{"result": {"a": NaN}}', b'{"result": [1]}',
]  # fmt: skip


@both
@pytest.mark.parametrize("content", HOSTILE, ids=range(len(HOSTILE)))
@pytest.mark.parametrize(("status", "media"), [(200, "application/json"), (422, "application/problem+json")])
def test_whatever_comes_back_is_an_answer_or_an_error_of_ours(
    call: Callable[[Handler], Any], content: bytes, status: int, media: str
) -> None:
    with suppress(witnessmark_client.WitnessmarkError):
        call(lambda _request: httpx2.Response(status, content=content, headers={"content-type": media}))
