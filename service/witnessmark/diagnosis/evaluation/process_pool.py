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

from witnessmark.diagnosis.catalogue.rows import Knowledge

Item = TypeVar("Item")
Result = TypeVar("Result")
Work = Callable[[Knowledge, Item], Result]
"""What is done with one item; a function of a module, so that another process can find it."""
_CHUNK = 8
_WIDTH = 40
_knowledge: list[Knowledge] = []
"""The knowledge of a worker process: taken once, since its networks are built once for each object."""


@dataclass(slots=True)
class Progress:
    """A bar on a terminal, one line a stage elsewhere. stream: where it is shown; None shows nothing."""

    stream: TextIO | None = None
    _shown: int = field(default=-1, init=False)

    def watch(self, what: str, results: Iterable[Result], total: int) -> Iterator[Result]:
        """The results as they come, with what is done of them shown."""
        if self.stream is None:
            yield from results
            return
        self._shown = -1
        for number, result in enumerate(results, 1):
            self._show(what, number, total)
            yield result

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
class Pool:
    """Who does the work: other processes, or this one alone where there is no executor."""

    knowledge: Knowledge
    progress: Progress = field(default_factory=Progress)
    executor: ProcessPoolExecutor | None = None

    def each(self, what: str, work: Work[Item, Result], items: Sequence[Item]) -> list[Result]:
        """`work` on every item, in their order. what: name of the stage, shown while it runs."""
        if self.executor is None:
            results: Iterable[Result] = (work(self.knowledge, item) for item in items)
        else:
            results = self.executor.map(partial(_in_worker, work), items, chunksize=_CHUNK)
        return list(self.progress.watch(what, results, len(items)))


@contextmanager
def process_pool(
    knowledge: Knowledge, workers: int | None = None, stream: TextIO | None = sys.stderr
) -> Iterator[Pool]:
    """So many processes (None: one a core), gone at the end. stream: where the progress is shown."""
    workers = workers or os.cpu_count() or 1
    if workers == 1:
        yield Pool(knowledge, Progress(stream))
        return
    with ProcessPoolExecutor(workers, get_context("spawn"), _start_worker, (knowledge,)) as executor:
        yield Pool(knowledge, Progress(stream), executor)


def _start_worker(knowledge: Knowledge) -> None:
    _knowledge[:] = [knowledge]


def _in_worker(work: Work[Item, Result], item: Item) -> Result:
    return work(_knowledge[0], item)
