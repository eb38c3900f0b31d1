"""Slow work leaves the event loop free, one piece at a time, in turns, and ends when nobody waits for it."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient
from starlette.types import Message
from tests.contract.answers import operations

from witnessmark import effort
from witnessmark.api import slow_work
from witnessmark.api.context import Request, RequestContext
from witnessmark.api.edge.caller import Caller, GoneError, calling
from witnessmark.api.edge.turns import Pace
from witnessmark.api.openapi import examples
from witnessmark.api.problems import ProblemError
from witnessmark.api.slow_work import apart, pace
from witnessmark.errors import InputError

PATIENCE = 30.0


@pytest.fixture(autouse=True)
def fresh() -> Iterator[None]:
    """No test sees what the pieces of another took."""
    pace.clear()
    yield
    pace.clear()


class Route:
    def __init__(self, path: str) -> None:
        self.path = path


def called(name: str, kind: str, gone: asyncio.Event | None = None) -> Caller:
    """A caller whose connection closes with the event."""

    async def receive() -> Message:
        await (gone or asyncio.Event()).wait()
        return {"type": "http.disconnect"}

    return Caller({"route": Route(kind)}, receive, name)


async def asked(caller: Caller, function: Any, *args: Any) -> Any:
    """The work, as that caller asks for it."""
    calling.set(caller)
    return await apart(function, *args)


def begun(caller: Caller, function: Any, *args: Any) -> asyncio.Task[Any]:
    return asyncio.get_running_loop().create_task(asked(caller, function, *args))


@pytest.mark.anyio
async def test_the_event_loop_goes_on_while_it_is_done() -> None:
    """The work waits for what only the loop can do: in the loop's own thread it would wait in vain."""
    free = threading.Event()
    work = asyncio.create_task(apart(free.wait, PATIENCE))
    await asyncio.sleep(0)
    free.set()
    assert await work is True


@pytest.mark.anyio
async def test_all_of_it_is_done_by_one_other_thread() -> None:
    found = await asyncio.gather(*(apart(threading.get_ident) for _ in range(3)))
    assert len(set(found)) == 1
    assert found[0] != threading.get_ident()


@pytest.mark.anyio
async def test_results_and_refusals_come_back_as_they_are() -> None:
    def refuse(*, field: str) -> None:
        raise InputError(field, "is not usable", "something else")

    assert await apart(divmod, 7, 2) == (3, 1)
    with pytest.raises(InputError) as caught:
        await apart(refuse, field="readings.speed")
    assert caught.value.field == "readings.speed"


@pytest.mark.anyio
async def test_a_hundred_pieces_of_one_caller_hold_up_another_for_one_piece_only() -> None:
    gate, order = threading.Event(), list[str]()
    first = begun(called("a", "/cycle"), gate.wait, PATIENCE)
    await asyncio.sleep(0)
    many = [begun(called("a", "/cycle"), order.append, "many") for _ in range(20)]
    await asyncio.sleep(0)
    others = [
        begun(called("b", "/cycle"), order.append, "other"),
        begun(called("a", "/diagnosis"), order.append, "kind"),
    ]
    await asyncio.sleep(0)
    gate.set()
    await asyncio.gather(first, *many, *others)
    assert order[0] == "other"
    assert "kind" in order[1:4]


@pytest.mark.anyio
async def test_too_much_is_turned_away_and_others_are_still_let_in() -> None:
    gate = threading.Event()
    let_in = [begun(called("a", "/cycle"), gate.wait, PATIENCE) for _ in range(33)]  # a third of ten seconds' work
    await asyncio.sleep(0)
    with pytest.raises(ProblemError) as caught:
        await asked(called("a", "/cycle"), divmod, 7, 2)
    assert (caught.value.status_code, caught.value.headers) == (503, {"retry-after": "4"})
    other = begun(called("a", "/diagnosis"), divmod, 7, 2), begun(called("b", "/cycle"), divmod, 9, 2)
    await asyncio.sleep(0)
    gate.set()
    assert await asyncio.gather(*let_in) == [True] * len(let_in)
    assert list(await asyncio.gather(*other)) == [(3, 1), (4, 1)]


@pytest.mark.anyio
async def test_the_next_part_of_what_was_let_in_is_let_in() -> None:
    gate, caller = threading.Event(), called("a", "/dispatch")
    assert await asked(caller, divmod, 7, 2) == (3, 1)
    crowd = [begun(called("a", "/dispatch"), gate.wait, PATIENCE) for _ in range(33)]
    await asyncio.sleep(0)
    part = begun(caller, divmod, 9, 2)
    await asyncio.sleep(0)
    gate.set()
    assert await part == (4, 1)
    await asyncio.gather(*crowd)


@pytest.mark.anyio
async def test_work_whose_caller_has_gone_is_never_begun() -> None:
    gate, gone, done = threading.Event(), asyncio.Event(), list[int]()
    first = begun(called("a", "/cycle"), gate.wait, PATIENCE)
    await asyncio.sleep(0)
    waiting = [begun(called("b", "/cycle", gone), done.append, k) for k in range(5)]
    await asyncio.sleep(0)
    gone.set()
    assert [type(e) for e in await asyncio.gather(*waiting, return_exceptions=True)] == [GoneError] * 5
    gate.set()
    await first
    assert await apart(divmod, 7, 2) == (3, 1)
    assert done == []


@pytest.mark.anyio
async def test_running_work_ends_when_its_caller_goes() -> None:
    ended, gone = threading.Event(), asyncio.Event()

    def endless() -> None:
        try:
            while True:
                effort.check()
        finally:
            ended.set()

    work = begun(called("a", "/cycle", gone), endless)
    await asyncio.sleep(0.01)
    gone.set()
    with pytest.raises(GoneError):
        await work
    assert await asyncio.to_thread(ended.wait, PATIENCE)
    assert pace["/cycle"].seconds == Pace().seconds  # a piece cut short tells nothing of the others


@pytest.mark.anyio
async def test_work_without_end_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(slow_work, "LONGEST_PIECE", 0.02)

    def endless() -> None:
        while True:
            effort.check()

    with pytest.raises(ProblemError) as caught:
        await apart(endless)
    assert (caught.value.slug, caught.value.status_code) == ("too-much-work", 422)


@pytest.mark.anyio
async def test_who_waited_too_long_is_turned_away() -> None:
    gate, worker = threading.Event(), slow_work.Worker(slow_work.Thread())
    worker.line.longest = 0.05
    slow_work._workers[asyncio.get_running_loop()] = worker  # noqa: SLF001
    pace["/cycle"].seconds = 1e-3  # of each is expected that it is done in time
    first = begun(called("a", "/cycle"), gate.wait, PATIENCE)
    late = begun(called("b", "/cycle"), divmod, 7, 2)
    await asyncio.wait([late], timeout=PATIENCE)
    gate.set()
    assert await first is True
    with pytest.raises(ProblemError) as caught:
        await late
    assert (caught.value.status_code, caught.value.headers) == (503, {"retry-after": "1"})


@pytest.mark.anyio
async def test_every_piece_counts_for_the_pace_of_its_kind() -> None:
    pace["/cycle"].seconds = 50.0
    await asked(called("a", "/cycle"), divmod, 7, 2)
    assert pace["/cycle"].seconds == pytest.approx(40.0, abs=1.0)
    assert pace["/diagnosis"].seconds == Pace().seconds


SLOW = {
    "accumulator", "ask_case", "balance_debris", "compression", "cycle", "cycle_diagram", "diagnose", "dispatch",
    "evacuation", "fractionation", "judge_filter_log", "leak_rate", "line_charge", "liquid_ingestion", "match_findings",
    "noncondensables", "oil_return", "plan_cleanup", "pressure_test", "report_case", "restart", "score_outcomes",
    "trend_log", "wet_suction", "work_case",
}  # fmt: skip
"""Operations that some request keeps busy for more than 5 ms."""


def test_every_calculation_says_that_it_may_be_turned_away(client: TestClient) -> None:
    """The slow ones; the others where they meet a mixture, whose lines are traced apart, or while the service stops."""
    documented = operations(client.get("/openapi.json").json())
    posted = {name: row for name, (method, _, row) in documented.items() if method == "post"}
    assert posted.keys() >= SLOW
    assert all("503" in row["responses"] for row in posted.values())


OTHERWISE = {"dispatch", "bulk"}
"""The one reads the list first, and works it out in parts; the other has processes of its own."""


def test_they_are_done_apart_from_the_event_loop(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """The thread of each request that reads a quantity or a note: that of slow work, or that of the loop."""
    threads: set[str] = set()
    of = RequestContext.of

    def noted(request: Request) -> RequestContext:
        threads.add(threading.current_thread().name)
        return of(request)

    monkeypatch.setattr(RequestContext, "of", noted)
    for name, (_, path, _) in operations(client.get("/openapi.json").json()).items():
        if name in examples() and name not in OTHERWISE:
            threads.clear()
            client.post(path, json=next(iter(examples()[name].values()))["value"])
            assert {thread.startswith("slow-work") for thread in threads} == {name in SLOW}, name
