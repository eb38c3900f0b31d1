"""Slow work leaves the event loop free, one piece at a time."""

from __future__ import annotations

import asyncio
import threading

import pytest

from witnessmark.api.problems import ProblemError
from witnessmark.api.slow_work import MOST_WAITING, apart
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
    assert (caught.value.status_code, caught.value.headers) == (503, {"retry-after": "2"})
    gate.set()
    assert await asyncio.gather(*let_in) == [True] * MOST_WAITING
    assert await apart(divmod, 7, 2) == (3, 1)
