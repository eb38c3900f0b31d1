"""Slow work leaves the event loop free, one piece at a time."""

from __future__ import annotations

import asyncio
import threading

import pytest
from starlette.testclient import TestClient
from tests.contract.answers import operations

from witnessmark.api.context import Request, RequestContext
from witnessmark.api.openapi import examples
from witnessmark.api.problems import ProblemError
from witnessmark.api.slow_work import LATEST, MOST_WAITING, SOONEST, Pace, apart, pace
from witnessmark.errors import InputError

PATIENCE = 30.0


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
    found = await asyncio.gather(*(apart(threading.get_ident) for _ in range(5)))
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
async def test_too_much_is_turned_away_and_the_rest_is_done() -> None:
    gate = threading.Event()
    let_in = [asyncio.create_task(apart(gate.wait, PATIENCE)) for _ in range(MOST_WAITING)]
    await asyncio.sleep(0)
    with pytest.raises(ProblemError) as caught:
        await apart(threading.get_ident)
    assert (caught.value.status_code, caught.value.headers) == (503, {"retry-after": pace.retry_after()})
    gate.set()
    assert await asyncio.gather(*let_in) == [True] * MOST_WAITING
    assert await apart(divmod, 7, 2) == (3, 1)


def test_the_time_to_ask_again_follows_what_a_piece_takes() -> None:
    slow = Pace(0.25)
    assert slow.retry_after() == "8"  # 32 pieces, half of those that may wait, take 8 s
    for _ in range(200):
        slow.note(0.5)
    assert slow.seconds == pytest.approx(0.5)
    assert (Pace(1e-4).retry_after(), Pace(100.0).retry_after()) == (str(SOONEST), str(LATEST))


@pytest.mark.anyio
async def test_every_piece_counts_for_the_pace() -> None:
    before = pace.seconds
    pace.seconds = 50.0
    try:
        await apart(divmod, 7, 2)
        assert pace.seconds == pytest.approx(45.0, abs=1.0)
    finally:
        pace.seconds = before


SLOW = {
    "accumulator", "balance_debris", "compression", "cycle", "cycle_diagram", "diagnose", "dispatch", "evacuation",
    "judge_filter_log", "line_charge", "liquid_ingestion", "match_findings", "noncondensables", "oil_return",
    "plan_cleanup", "restart", "wet_suction",
}  # fmt: skip
"""Operations that some request keeps busy for more than 5 ms."""


def test_operations_that_may_take_long_say_that_they_may_be_turned_away(client: TestClient) -> None:
    documented = operations(client.get("/openapi.json").json())
    assert {
        name for name, (method, _, row) in documented.items() if method == "post" and "503" in row["responses"]
    } == SLOW


def test_they_are_done_apart_from_the_event_loop(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """The thread of each request that reads a quantity or a note: that of slow work, or that of the loop."""
    threads: set[str] = set()
    of = RequestContext.of

    def noted(request: Request) -> RequestContext:
        threads.add(threading.current_thread().name)
        return of(request)

    monkeypatch.setattr(RequestContext, "of", noted)
    for name, (_, path, _) in operations(client.get("/openapi.json").json()).items():
        if name in examples() and name not in {"cycle", "cycle_diagram", "diagnose", "dispatch"}:  # which read first
            threads.clear()
            client.post(path, json=next(iter(examples()[name].values()))["value"])
            assert {thread.startswith("slow-work") for thread in threads} == {name in SLOW}, name
