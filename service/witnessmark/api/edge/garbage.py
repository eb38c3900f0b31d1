"""The search for garbage in memory, which holds the interpreter and with it every answer: kept short.

A full search visits all that lives, some 340,000 objects once all is loaded: 0.2 s of processor time, in which health
is not answered. What was loaded stays, so it is taken out of the search (frozen): what was imported before the port
opens, what was read when the service is warm, and what requests left in caches when nothing is under way. Without the
last a search was measured at 50 to 95 ms, every six seconds under load.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from witnessmark.api.edge.in_flight import in_flight

LONGEST = 0.01
"""Seconds of processor time for one full search, beyond which what it visits is taken out of the next."""
MOST = 20
"""Times that this is done: what is frozen by chance and becomes garbage later is never found, so it is bounded."""
SELDOM = 4
"""Searches of the middle generation for one full search (usual: 10), so that each finds less: 33 ms at most."""


@dataclass(slots=True)
class Searches:
    """Notes how long full searches take, and ends their growth."""

    begun: float = 0.0
    long: bool = False
    frozen: int = 0

    def __call__(self, phase: str, info: dict[str, Any]) -> None:
        """Called by the interpreter before and after each search."""
        if info["generation"] < 2:  # noqa: PLR2004 - the oldest of three
            return
        if phase == "start":
            self.begun = time.thread_time()
        elif time.thread_time() - self.begun > LONGEST:
            self.long = True

    def shorten(self) -> None:
        """Where the last full search took long and nothing is under way, the next does not visit what lives now."""
        if self.long and self.frozen < MOST and not in_flight.exchanges:
            self.long = False
            self.frozen += 1
            gc.freeze()


searches = Searches()


@contextmanager
def unsearched() -> Iterator[None]:
    """In this block nothing is searched: what is loaded stays, and searches for it cost a tenth of a start."""
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if on:
            gc.enable()


def settle() -> None:
    """Before the port opens: what was imported is searched once, and then never again; until it is warm, nothing is."""
    gc.collect()
    gc.freeze()
    gc.disable()


def watch() -> None:
    """When the service is warm: what was read is not searched, and neither is what later turns out to stay."""
    first, second, _ = gc.get_threshold()
    gc.set_threshold(first, second, SELDOM)
    gc.freeze()
    gc.enable()
    if searches not in gc.callbacks:
        gc.callbacks.append(searches)
