"""How the server starts and stops: the port opens while it warms up, and closes a while after it is told to stop."""

from __future__ import annotations

import asyncio
import contextlib
import os
import socket
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from types import FrameType

import structlog
import uvicorn
from uvicorn.config import STARTUP_FAILURE
from uvicorn.supervisors import multiprocess

from witnessmark import heavy, settings
from witnessmark.api import handed
from witnessmark.api.bulk.gate import gate
from witnessmark.api.edge import child, garbage, memory
from witnessmark.api.edge.in_flight import in_flight
from witnessmark.api.health import readiness
from witnessmark.api.warm_up import load_heavy, warm_up

SWITCH = 0.001
"""Seconds for which slow work may keep the interpreter before the event loop has its turn (usual: 0.005)."""
LAST_MOMENT = 0.5
"""Seconds before the end of the drain at which what is not answered is refused."""
log = structlog.get_logger("witnessmark")


class Server(uvicorn.Server):
    """One process. Told to stop it says that it is not ready, goes on for a pause, closes the port, drains and ends."""

    told: float | None = None
    failed = False

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Open the port, then warm up in a thread while health checks are answered and work is refused."""
        readiness.stage = "warming"
        sys.setswitchinterval(SWITCH)
        garbage.settle()
        memory.keep()
        await super().startup(sockets)
        self._warming = asyncio.create_task(self._warm())

    async def _warm(self) -> None:
        """Load all, in a thread that then ends: what is forked has one."""
        try:
            if _hands_on():
                heavy.keep_out()
            with ThreadPoolExecutor(1, "warm-up") as thread:
                await asyncio.get_running_loop().run_in_executor(thread, warm_up)
            garbage.watch()
            memory.hand_back()
            await self._fork()
        except Exception:  # whatever it is, there is no service without it
            log.exception("not started")
            self.failed = self.should_exit = True
            return
        readiness.warmed()
        if readiness.ready:
            log.info("ready")
        with contextlib.suppress(OSError):
            gate().pool.begin()

    @staticmethod
    async def _fork() -> None:
        """Processes for slow work, which share what is loaded now; a thread does it where there can be none."""
        if not _hands_on():
            return
        try:
            await handed.begin(settings.current().slow_processes, _prepare)
        except OSError as fault:
            log.warning("no process for slow work yet", reason=os.strerror(fault.errno or 0))

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:  # noqa: ARG002 - the server's own signature
        """Begin to stop. A second interrupt, from a person who does not want to wait, ends the drain as well."""
        if self.told is None:
            self.told = time.monotonic()
            readiness.drain()
        elif sig == 2:  # noqa: PLR2004 - SIGINT
            self.should_exit = self.force_exit = True

    async def on_tick(self, counter: int) -> bool:
        """Whether to close the port."""
        garbage.searches.shorten()
        over = self.told is not None and time.monotonic() - self.told >= settings.current().pause_seconds
        return await super().on_tick(counter) or over

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Close the port, answer what is under way, refuse the rest before the time is over."""
        log.info("draining", requests=len(in_flight.exchanges))
        wait = max(0.0, settings.current().drain_seconds - LAST_MOMENT)
        last = asyncio.get_running_loop().call_later(wait, in_flight.refuse_all)
        await super().shutdown(sockets)
        last.cancel()
        handed.end()
        with contextlib.suppress(Exception):
            await self._warming
        log.info("stopped")


def _hands_on() -> bool:
    """Whether there are processes for slow work, which load what is heavy (`heavy`) in place of this one."""
    return child.possible() and settings.current().slow_processes > 0


def _prepare() -> None:
    """In a process for slow work."""
    heavy.let_in()
    load_heavy()


class WorkerProcess(multiprocess.Process):
    """A process of several, with the server above."""

    @property
    def server(self) -> uvicorn.Server:
        """Made in the process that runs it."""
        if self._server is None:
            self._server = Server(config=self.config)
        return self._server


def run(config: uvicorn.Config) -> int:
    """Serve until told to stop; the exit code."""
    if config.workers > 1:
        multiprocess.Process = WorkerProcess  # type: ignore[misc] # the supervisor has no argument for it
        multiprocess.Multiprocess(config, sockets=[config.bind_socket()]).run()
        return 0
    server = Server(config)
    server.run()
    return STARTUP_FAILURE if server.failed or not server.started else 0
