"""Work in processes of its own: in turn, ended with whoever asked, started anew where one died."""

import asyncio
import contextlib
import importlib.util
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from witnessmark.bulk.processes import DiedError, Pool


@pytest.fixture
def pool(monkeypatch: pytest.MonkeyPatch) -> Iterator[Pool]:
    folder = Path(__file__).parent
    monkeypatch.syspath_prepend(folder)
    spec = importlib.util.spec_from_file_location("work_for_processes", folder / "work_for_processes.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(sys.modules, "work_for_processes", module)
    spec.loader.exec_module(module)
    made = Pool(module.done, 1)
    yield made
    made.end()


def test_work_is_done_elsewhere_by_the_same_process(pool: Pool) -> None:
    async def both() -> None:
        (_, one, first), (_, two, second) = await asyncio.gather(pool.done(1), pool.done(2))
        assert (one, two) == (1, 2)
        assert first == second != os.getpid()

    asyncio.run(both())
    assert asyncio.run(pool.done(3))[1] == 3  # another loop


def test_one_that_dies_is_started_anew(pool: Pool) -> None:
    async def ask() -> None:
        with pytest.raises(DiedError):
            await pool.done("die")
        assert (await pool.done(1))[1] == 1

    asyncio.run(ask())


def test_who_goes_ends_the_work(pool: Pool) -> None:
    async def ask() -> None:
        work = asyncio.ensure_future(pool.done("sleep"))
        await asyncio.sleep(0.5)
        work.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await work
        assert (await pool.done(1))[1] == 1

    asyncio.run(ask())


def test_a_process_that_was_begun_takes_the_first_piece(pool: Pool) -> None:
    pool.begin()
    pool.begin()
    assert len(pool._free) == 1, "once is enough"  # noqa: SLF001
    begun = pool._free[0]._process.pid  # noqa: SLF001
    assert asyncio.run(pool.done(1))[2] == begun


def test_what_a_process_prepares_is_done_before_its_work(pool: Pool) -> None:
    """One that cannot be prepared dies, and says so to whoever asks."""
    pool.prepare = sys.exit
    with pytest.raises(DiedError):
        asyncio.run(pool.done(1))
