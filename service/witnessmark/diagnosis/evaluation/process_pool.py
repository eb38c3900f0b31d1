"""Long runs of independent cases over several processes: the same results in the same order, however many there are."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from multiprocessing import get_context
from typing import TextIO, TypeVar

from witnessmark.diagnosis.catalogue.knowledge import Knowledge

Item = TypeVar("Item")
Found = TypeVar("Found")
Work = Callable[[Knowledge, Item], Found]
"""What is done with one item; a function of a module, so that another process can find it."""
_CHUNK = 8
_WIDTH = 40
_taken: list[Knowledge] = []
"""The knowledge of a worker process: taken once, since its networks are built once for each object."""


@dataclass(slots=True)
class Progress:
    """A bar on a terminal, one line a stage elsewhere. stream: where it is shown; None shows nothing."""

    stream: TextIO | None = None
    _shown: int = field(default=-1, init=False)

    def watch(self, what: str, found: Iterable[Found], total: int) -> Iterator[Found]:
        """The results as they come, with what is done of them shown."""
        if self.stream is None:
            yield from found
            return
        self._shown = -1
        for number, one in enumerate(found, 1):
            self._show(what, number, total)
            yield one

    def _show(self, what: str, number: int, total: int) -> None:
        assert self.stream is not None  # noqa: S101 - only called where there is one
        share, terminal = 100 * number // total, self.stream.isatty()
        if share == self._shown or not (terminal or number == total):
            return
        self._shown = share
        bar = "#" * (_WIDTH * number // total)
        line = f"[{bar:.<{_WIDTH}}] {share:3d} % {what}" if terminal else f"done: {what} ({total})"
        end = "\n" if number == total else ""
        self.stream.write(f"\r{line}{end}" if terminal else f"{line}\n")
        self.stream.flush()


@dataclass(frozen=True, slots=True)
class Crew:
    """Who does the work: this process alone, or a pool of others."""

    held: Knowledge
    progress: Progress = field(default_factory=Progress)
    pool: ProcessPoolExecutor | None = None

    def each(self, what: str, work: Work[Item, Found], items: Sequence[Item]) -> list[Found]:
        """`work` on every item, in their order. what: name of the stage, shown while it runs."""
        if self.pool is None:
            found: Iterable[Found] = (work(self.held, item) for item in items)
        else:
            found = self.pool.map(partial(_with_taken, work), items, chunksize=_CHUNK)
        return list(self.progress.watch(what, found, len(items)))


@contextmanager
def crew(held: Knowledge, workers: int | None = None, stream: TextIO | None = sys.stderr) -> Iterator[Crew]:
    """A crew of so many processes (None: one a core), gone at the end. stream: where the progress is shown."""
    workers = workers or os.cpu_count() or 1
    if workers == 1:
        yield Crew(held, Progress(stream))
        return
    with ProcessPoolExecutor(workers, get_context("spawn"), _take, (held,)) as pool:
        yield Crew(held, Progress(stream), pool)


def _take(held: Knowledge) -> None:
    _taken[:] = [held]


def _with_taken(work: Work[Item, Found], item: Item) -> Found:
    return work(_taken[0], item)
