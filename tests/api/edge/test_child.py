"""A forked process does one piece after the other, ends when told or when its other end does, and is replaced."""

from __future__ import annotations

import asyncio
import os
import pickle
import signal
import socket
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest
import structlog

from witnessmark import effort
from witnessmark.api.edge import child
from witnessmark.api.edge.child import Child, DiedError
from witnessmark.bulk import processes as bulk_processes

pytestmark = [pytest.mark.anyio, pytest.mark.skipif(not child.possible(), reason="no process can be forked here")]
PATIENCE = 30.0


def worked(number: int, job: Any) -> Any:
    """What the process of the tests does; in the other process."""
    match job:
        case "spin":  # without a look at its bounds, as a library might
            while True:
                pass
        case "endless":
            try:
                while True:
                    effort.check()
            except (effort.AbandonedError, effort.OverworkedError) as ended:
                return type(ended).__name__
        case "descriptors":
            return sorted(int(path.name) for path in Path("/proc/self/fd").iterdir())
        case "priority":
            return os.nice(0)
        case "told":
            return child.UNTOLD
        case "fault":
            raise ValueError(job)
    return number, job, os.getpid()


@pytest.fixture
async def process() -> AsyncIterator[Child]:
    made = Child(worked, 0.05)
    yield made
    made.end()


def alive(number: int) -> bool:
    try:
        return "\nState:\tZ" not in Path(f"/proc/{number}/status").read_text("ascii")
    except OSError:
        return False


async def gone(number: int) -> bool:
    for _ in range(int(100 * PATIENCE)):
        if not alive(number):
            return True
        await asyncio.sleep(0.01)
    return False


async def test_pieces_are_done_one_after_the_other_by_one_other_process(process: Child) -> None:
    replies = [(await process.done(number, {"n": number})).result for number in range(3)]
    assert [reply[:2] for reply in replies] == [(number, {"n": number}) for number in range(3)]
    (other,) = {reply[2] for reply in replies}
    assert other != os.getpid()


async def test_it_stands_behind_the_one_that_answers_and_before_rows_of_many(process: Child) -> None:
    behind = (await process.done(1, "priority")).result
    assert behind == min(19, os.nice(0) + child.NICE)
    assert 0 < child.NICE < bulk_processes.NICE


async def test_a_megabyte_comes_and_goes(process: Child) -> None:
    text = os.urandom(3_000_000)
    assert (await process.done(1, text)).result[1] == text


async def test_it_keeps_none_of_the_connections_of_the_other(process: Child) -> None:
    one, other = socket.socketpair()
    with one, other:
        found = (await process.done(1, "descriptors")).result
    assert len([number for number in found if number > 2]) <= 2  # its own end, and the listing itself


async def test_what_nobody_waits_for_ends_and_says_so(process: Child) -> None:
    process.seconds = PATIENCE
    work = asyncio.ensure_future(process.done(7, "endless"))
    await asyncio.sleep(0.1)
    process.abandon(7)
    reply = await work
    assert (reply.result, reply.abandoned) == ("AbandonedError", True)
    assert not (await process.done(8, "next")).abandoned


async def test_what_takes_too_long_ends(process: Child) -> None:
    reply = await process.done(1, "endless")
    assert (reply.result, reply.abandoned) == ("OverworkedError", False)


async def test_what_does_not_look_at_its_bounds_is_ended_with_its_process(process: Child) -> None:
    with pytest.raises(DiedError) as died:
        await process.done(1, "spin")
    assert died.value.overworked
    assert (await process.done(2, "next")).result[0] == 2


async def test_a_killed_one_is_replaced(process: Child) -> None:
    process.seconds = PATIENCE
    (_, _, first) = (await process.done(1, "who")).result
    work = asyncio.ensure_future(process.done(2, "endless"))
    await asyncio.sleep(0.05)
    os.kill(first, signal.SIGKILL)
    with pytest.raises(DiedError) as died:
        await work
    assert not died.value.overworked
    (_, _, second) = (await process.done(3, "who")).result
    assert second != first
    os.kill(second, signal.SIGKILL)  # while it waits for work
    assert await gone(second)
    await asyncio.sleep(0.05)
    (_, _, third) = (await process.done(4, "who")).result
    assert third not in (first, second)


async def test_a_fault_in_it_ends_it_and_no_more(process: Child) -> None:
    with pytest.raises(DiedError):
        await process.done(1, "fault")
    assert (await process.done(2, "next")).result[0] == 2


@pytest.mark.parametrize(("job", "code", "told"), [("next", 0, []), ("fault", 1, ["slow work ended"])])
async def test_a_fault_is_logged_where_it_was(
    process: Child, job: str, code: int, told: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same in this process, which does not end."""
    ours, theirs = socket.socketpair()
    ended: list[int] = []
    monkeypatch.setattr(os, "_exit", ended.append)
    monkeypatch.setattr(child, "_settle", lambda _: None)
    sent = pickle.dumps((1, job))
    with ours, theirs, structlog.testing.capture_logs() as lines:
        ours.sendall(child._LENGTH.pack(len(sent)) + sent)  # noqa: SLF001
        ours.shutdown(socket.SHUT_WR)
        child._serve_and_exit(process, theirs)  # noqa: SLF001
    assert (ended, [line["event"] for line in lines]) == ([code], told)


async def test_signals_to_the_group_do_not_end_it_and_the_end_of_the_other_does(process: Child) -> None:
    (_, _, number) = (await process.done(1, "who")).result
    for one in (signal.SIGINT, signal.SIGTERM):
        os.kill(number, one)
    assert (await process.done(2, "who")).result == (2, "who", number)
    assert process._writer is not None  # noqa: SLF001
    process._writer.close()  # noqa: SLF001
    assert await gone(number)


async def test_started_twice_at_once_it_is_one(process: Child) -> None:
    await asyncio.gather(process.start(), process.start(), process.start())
    mine = (await process.done(1, "who")).result[2]
    assert mine == process._process  # noqa: SLF001
    process.end()
    assert await gone(mine)


async def test_where_no_process_can_be_had_that_is_said(process: Child, monkeypatch: pytest.MonkeyPatch) -> None:
    before = len(os.listdir("/proc/self/fd"))  # noqa: PTH208 - counted, not read

    def refused() -> int:
        raise BlockingIOError(11, "no more processes")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fork", refused)
        with pytest.raises(BlockingIOError):
            await process.done(1, "who")
    assert len(os.listdir("/proc/self/fd")) == before  # noqa: PTH208
    assert (await process.done(2, "who")).result[0] == 2


async def test_what_it_does_until_the_other_end_closes(process: Child) -> None:
    """The same in this process, message by message."""
    ours, theirs = socket.socketpair()
    with ours, theirs:
        for job in (b"one", "told", "two"):
            told = pickle.dumps((1, job))
            ours.sendall(child._LENGTH.pack(len(told)) + told)  # noqa: SLF001
        ours.sendall(child._LENGTH.pack(100) + b"cut short")  # noqa: SLF001
        ours.shutdown(socket.SHUT_WR)
        child._serve(process, theirs)  # noqa: SLF001
        with ours.makefile("rb") as pipe:
            replies = []
            for _ in range(2):
                (length,) = child._LENGTH.unpack(pipe.read(child._LENGTH.size))  # noqa: SLF001
                replies.append(pickle.loads(pipe.read(length)).result[1])  # noqa: S301 - written above
    assert replies == [b"one", "two"]
