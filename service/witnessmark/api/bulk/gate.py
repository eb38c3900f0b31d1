"""Who is let in with many rows, and where their bodies wait."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from starlette.requests import ClientDisconnect, Request

from witnessmark import settings
from witnessmark.api.bulk import work
from witnessmark.api.bulk.compute import warm
from witnessmark.api.edge.caller import GoneError, calling
from witnessmark.api.problems import ProblemError
from witnessmark.bulk.processes import DiedError, Pool
from witnessmark.bulk.spool import Folder, NoRoomError, Spool, room

AGAIN = {"retry-after": "10"}
LOOK_SECONDS = 0.5
"""How often the growing answer is measured."""


@dataclass(slots=True)
class Gate:
    """All requests with many rows of one process."""

    spool: Spool
    pool: Pool
    most: int
    inside: int = 0

    @contextmanager
    def entered(self) -> Iterator[Folder]:
        """A folder for one request while the block runs. ProblemError (unavailable) where there is no room for it."""
        if self.inside >= self.most:
            raise ProblemError("unavailable", "as many requests with many rows as are let in", AGAIN)
        self.inside += 1
        try:
            with self.spool.folder() as folder:
                yield folder
        except NoRoomError:
            raise _full() from None
        finally:
            self.inside -= 1


@cache
def gate() -> Gate:
    """Of this process."""
    own = settings.current()
    spool = Spool(own.rows_volume, Path(own.rows_folder)) if own.rows_folder else Spool(own.rows_volume)
    return Gate(spool, Pool(work.worked, own.rows_processes, warm), own.rows_waiting)


@cache
def forms() -> tuple[str, ...]:
    """The media types that are taken and given here: Arrow only where its library is installed."""
    return work.FORMS if find_spec("pyarrow") else tuple(form for form in work.FORMS if form != work.ARROW)


async def received(request: Request, folder: Folder) -> None:
    """The whole body into the folder: nothing is answered before it is there. ProblemError, GoneError."""
    try:
        with room(), (folder.path / work.IN).open("wb") as file:
            async for block in _blocks(request):
                folder.write(file, block)
    except NoRoomError:
        raise _full() from None
    except ClientDisconnect:
        raise GoneError from None


def _full() -> ProblemError:
    return ProblemError("unavailable", work.NO_ROOM, AGAIN)


def _blocks(request: Request) -> AsyncIterator[bytes]:
    return request.stream()


async def worked(job: work.Job, folder: Folder) -> work.Done:
    """The work, in its turn; ended where the caller goes or the volume is full. GoneError, ProblemError."""
    caller, begun = calling.get(), time.perf_counter()
    done = asyncio.ensure_future(gate().pool.done(job))
    gone = asyncio.ensure_future(caller.gone())
    try:
        while not done.done():
            if gone.done():
                raise GoneError
            await asyncio.wait({done, gone}, timeout=LOOK_SECONDS, return_when=asyncio.FIRST_COMPLETED)
            folder.measure(folder.path / work.OUT)
        return _result(done)
    except NoRoomError:
        raise _full() from None
    finally:
        for task in (done, gone):
            task.cancel()
        if caller.pays is not None:  # the wait for a process is paid too: it holds a place and a folder
            caller.pays(time.perf_counter() - begun)


def _result(done: asyncio.Future[Any]) -> work.Done:
    try:
        found: work.Done | work.Refused = done.result()
    except DiedError:
        raise ProblemError("unavailable", "the work ended before it was done; fewer rows at once", AGAIN) from None
    if isinstance(found, work.Refused):
        headers = AGAIN if found.slug == "unavailable" else None
        raise ProblemError(found.slug, found.detail, headers, list(found.errors) or None)
    return found
