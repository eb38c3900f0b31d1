"""Slow requests handed on to a process are answered as they are here, in turns, and nothing of them stays behind."""

from __future__ import annotations

import asyncio
import json
import os
import signal
from collections.abc import AsyncIterator, Iterator, Mapping
from typing import Any

import httpx
import pytest
from tests.api.test_slow_work import called
from tests.contract.answers import operations
from tests.test_serving import SLOW

from witnessmark.api import handed, slow_work
from witnessmark.api.app import app, asgi
from witnessmark.api.edge import child, metrics
from witnessmark.api.edge.caller import GoneError, calling
from witnessmark.api.edge.turns import Pace
from witnessmark.api.handed import Job, Requests
from witnessmark.api.openapi import examples
from witnessmark.api.slow_work import here, pace
from witnessmark.effort import Effort, limited
from witnessmark.refrigerants import on_demand

pytestmark = [pytest.mark.anyio, pytest.mark.skipif(not child.possible(), reason="no process can be forked here")]
OWN = {"x-request-id", "traceparent"}
CYCLE = json.dumps(SLOW).encode()


@pytest.fixture
async def one_process(client: Any) -> AsyncIterator[None]:  # noqa: ARG001 - the application, started
    """Slow requests are handed on to one process."""
    pace.clear()
    await handed.begin(1)
    yield
    handed.end()
    pace.clear()


@pytest.fixture
def alone() -> Iterator[Requests]:
    """This process as if it were the other."""
    yield Requests()
    here.alone, here.fresh = False, True


async def sent(
    path: str, body: bytes, method: str = "POST", headers: Mapping[str, str] | None = None
) -> httpx.Response:
    transport = httpx.ASGITransport(asgi)
    async with httpx.AsyncClient(transport=transport, base_url="http://service") as asking:
        told = {"content-type": "application/json", "accept-encoding": "identity", **(headers or {})}
        return await asking.request(method, path, content=body or None, headers=told)


def told(answer: httpx.Response) -> tuple[int, list[tuple[str, str]], bytes]:
    return answer.status_code, [row for row in answer.headers.multi_items() if row[0] not in OWN], answer.content


async def everywhere(
    path: str, body: bytes, method: str = "POST", *, there_first: bool = False, headers: Mapping[str, str] | None = None
) -> list[tuple[int, list[tuple[str, str]], bytes]]:
    """The answer from here, then from the other process, or the other way round."""
    workers = handed.workers[:]
    found = []
    for put in (workers, []) if there_first else ([], workers):
        handed.workers[:] = put
        found.append(told(await sent(path, body, method, headers)))
    handed.workers[:] = workers
    return found


def example(operation: str) -> bytes:
    return json.dumps(next(iter(examples()[operation].values()))["value"]).encode()


@pytest.mark.usefixtures("one_process")
async def test_every_example_is_answered_alike() -> None:
    for name, (method, path, _) in operations(app.openapi()).items():
        for row in examples().get(name, {}).values():
            if name != "bulk":
                from_here, from_there = await everywhere(path, json.dumps(row["value"]).encode(), method.upper())
                assert from_there == from_here, name


@pytest.mark.usefixtures("one_process")
@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/v1/cycle", b"{"),
        ("/v1/cycle", b""),
        ("/v1/cycle", b'{"refrigerant":"R-410A"}'),
        ("/v1/cycle", b'{"refrigerant":"R-999Z"}'),
        ("/v1/compression", example("compression").replace(b"120", b"1e9")),
        ("/v1/superheat", b"[" + b"[]," * 30_000 + b"[]]"),
        ("/v1/superheat", example("superheat")[:-1] + b" " * 20_000 + b"}"),
        ("/v1/diagnosis", b"[" * 100_000),
        ("/v1/diagnosis", b" " * 1_100_000),
        ("/v1/cycle?x=1", example("cycle")),
    ],
)
async def test_every_problem_is_told_alike(path: str, body: bytes) -> None:
    from_here, from_there = await everywhere(path, body)
    assert from_there == from_here


@pytest.mark.usefixtures("one_process")
@pytest.mark.parametrize(
    ("name", "value"), [("accept", "application/pdf"), ("accept-language", "es"), ("accept", "x/y")]
)
async def test_what_headers_ask_for_is_given(name: str, value: str) -> None:
    from_here, from_there = await everywhere("/v1/cases/report", example("report_case"), headers={name: value})
    assert from_there[0] == from_here[0]
    assert dict(from_there[1])["content-type"] == dict(from_here[1])["content-type"]


PARTS = [{"refrigerant": "R-32", "mass_fraction": 0.613}, {"refrigerant": "R-125", "mass_fraction": 0.387}]
MIXED = {**json.loads(example("superheat")), "refrigerant": {"composition": PARTS}}
"""A light request, with a mixture of this test alone: nobody has traced its lines."""


@pytest.mark.usefixtures("one_process")
async def test_the_lines_of_a_mixture_are_traced_there() -> None:
    before = on_demand.trace.cache_info().currsize
    from_here, from_there = reversed(await everywhere("/v1/superheat", json.dumps(MIXED).encode(), there_first=True))
    assert from_there == from_here
    assert from_here[0] == 200, from_here
    assert on_demand.trace.cache_info().currsize == before + 1  # by the answer from here


@pytest.mark.usefixtures("one_process")
async def test_the_document_is_written_there() -> None:
    from_here, from_there = await everywhere("/openapi.json", b"", "GET")
    assert from_there == from_here


@pytest.mark.usefixtures("one_process")
async def test_what_an_answer_came_to_is_counted_here() -> None:
    def counted() -> float:
        rows = [row for family in metrics.verdicts.collect() for row in family.samples if row.name.endswith("_total")]
        return sum(row.value for row in rows if row.labels["operation"] == "compression")

    before = counted()
    assert (await sent("/v1/compression", example("compression"))).status_code == 200
    assert counted() == before + 1


@pytest.mark.usefixtures("one_process")
async def test_a_killed_process_is_503_and_the_next_answer_comes_from_a_new_one() -> None:
    (worker,) = handed.workers
    process = worker.place.child._process  # type: ignore[attr-defined] # noqa: SLF001
    os.kill(process, signal.SIGSTOP)  # the work is there and not done, however quick it is
    work = asyncio.create_task(sent("/v1/cycle", CYCLE))
    await asyncio.sleep(0.2)
    os.kill(process, signal.SIGKILL)
    answer = await work
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "1")
    assert answer.json()["type"] == "/problems/unavailable"
    assert (await sent("/v1/cycle", example("cycle"))).status_code == 200


@pytest.mark.usefixtures("one_process")
async def test_what_takes_far_too_long_is_too_much_work(monkeypatch: pytest.MonkeyPatch) -> None:
    async def died(*_: Any) -> None:
        raise child.DiedError(overworked=True)

    monkeypatch.setattr(child.Child, "done", died)
    answer = await sent("/v1/cycle", CYCLE)
    assert (answer.status_code, answer.json()["type"]) == (422, "/problems/too-much-work")


@pytest.mark.usefixtures("one_process")
async def test_where_no_process_can_be_had_it_is_turned_away(monkeypatch: pytest.MonkeyPatch) -> None:
    async def refused(*_: Any) -> None:
        raise BlockingIOError(11, "no more processes")

    monkeypatch.setattr(child.Child, "done", refused)
    assert (await sent("/v1/cycle", CYCLE)).status_code == 503


@pytest.mark.usefixtures("one_process")
async def test_work_whose_caller_goes_ends_there() -> None:
    (worker,) = handed.workers
    process = worker.place.child._process  # type: ignore[attr-defined] # noqa: SLF001
    caller_gone = asyncio.Event()
    calling.set(called("a", "/v1/cycle", caller_gone))
    job = Job("POST", "/v1/cycle", "", b"", [(b"content-type", b"application/json")], CYCLE)
    os.kill(process, signal.SIGSTOP)
    work = asyncio.create_task(worker.done((1_000_001, job)))
    await asyncio.sleep(0.1)
    caller_gone.set()
    with pytest.raises(GoneError):
        await work
    os.kill(process, signal.SIGCONT)
    assert (await sent("/v1/cycle", example("cycle"))).status_code == 200  # which waits for its end
    assert pace["/v1/cycle"].seconds < Pace().seconds + 0.2  # a piece cut short tells nothing of the others


@pytest.mark.usefixtures("one_process")
async def test_light_slow_work_is_done_here_and_handed_on_where_it_is_not_light(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    begun: list[str] = []

    def noted(kind: Any) -> None:
        begin = kind.begin

        def noting(place: Any, piece: Any) -> Any:
            begun.append(kind.__name__)
            return begin(place, piece)

        monkeypatch.setattr(kind, "begin", noting)

    noted(slow_work.Thread)
    noted(handed.Process)
    pace["/v1/noncondensables"].seconds = pace["/v1/cycle"].seconds = 0.001
    assert (await sent("/v1/noncondensables", example("noncondensables"))).status_code == 200
    monkeypatch.setattr(slow_work, "BRIEF", 0.002)
    assert (await sent("/v1/cycle", CYCLE)).status_code == 200
    monkeypatch.undo()
    noted(slow_work.Thread)
    noted(handed.Process)
    pace["/v1/noncondensables"].seconds = 0.1
    assert (await sent("/v1/noncondensables", example("noncondensables"))).status_code == 200
    assert begun == ["Thread", "Thread", "Process", "Process"]


CALLS = json.dumps({"calls": [{"note": "no cooling, breaker tripped"}] * 50}).encode()
LIST = Job("POST", "/v1/dispatch", "", b"", [(b"content-type", b"application/json")], CALLS)


async def test_a_list_stands_still_between_its_parts(alone: Requests) -> None:
    found, parts = alone(1, LIST), 1
    while found is None:
        assert alone.waiting.keys() == {1}
        found, parts = alone(1, handed._GO_ON), parts + 1  # noqa: SLF001
    assert parts == 4  # three of twenty at most, and the whole
    assert (found.status, len(json.loads(found.body)["result"]["calls"])) == (200, 50)
    assert alone.waiting == {}


async def test_what_is_dropped_is_forgotten(alone: Requests) -> None:
    assert alone(1, LIST) is None
    assert alone(1, handed._DROP) is child.UNTOLD  # noqa: SLF001
    assert alone.waiting == {}
    assert alone(1, handed._DROP) is child.UNTOLD  # noqa: SLF001
    assert alone(1, handed._GO_ON).lost  # noqa: SLF001


@pytest.mark.usefixtures("one_process")
async def test_others_have_their_turn_between_the_parts_of_a_list() -> None:
    calls = json.dumps({"calls": [{"note": "no cooling, breaker tripped"}] * 200}).encode()
    order: list[str] = []

    async def noted(name: str, path: str, body: bytes) -> None:
        assert (await sent(path, body)).status_code == 200
        order.append(name)

    many = asyncio.create_task(noted("list", "/v1/dispatch", calls))
    await asyncio.sleep(0.1)
    await asyncio.gather(many, noted("cycle", "/v1/cycle", example("cycle")))
    assert order == ["cycle", "list"]


@pytest.mark.usefixtures("one_process")
async def test_what_a_process_no_longer_knows_is_turned_away(monkeypatch: pytest.MonkeyPatch) -> None:
    async def lost(*_: Any) -> child.Reply:
        return child.Reply(handed.Given(lost=True), 0.1, abandoned=False)

    monkeypatch.setattr(child.Child, "done", lost)
    assert (await sent("/v1/dispatch", CALLS)).status_code == 503


async def test_work_without_end_is_given_up_there(alone: Requests) -> None:
    job = Job("POST", "/v1/cycle", "", b"", [(b"content-type", b"application/json")], CYCLE)
    with limited(Effort(0.001)):
        found = alone(1, job)
    assert (found.status, json.loads(found.body)["type"]) == (422, "/problems/too-much-work")


async def test_a_crash_is_answered_and_logged_there(
    alone: Requests, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: Any) -> None:
        raise RuntimeError("broken")

    monkeypatch.setattr("witnessmark.calculations.cycle.cycle.solve", broken)
    found = alone(1, Job("POST", "/v1/cycle", "", b"", [(b"content-type", b"application/json")], example("cycle")))
    assert (found.status, json.loads(found.body)["type"]) == (500, "/problems/internal-error")
    assert "crash" in capsys.readouterr().out


def test_without_processes_nothing_is_handed_on() -> None:
    handed.end()
    assert not handed.workers
