"""One JSON line an event on standard output, from this service and from every library under it."""

from __future__ import annotations

import logging
import os
import sys
import traceback
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType

import structlog
from structlog.typing import EventDict, Processor, WrappedLogger

DEEPEST = 30
"""Places of a fault that are told, the innermost ones."""


class Lines:
    """Standard output. A line that cannot be written is lost and counted: a full disk must not stop the work.

    Past the buffers of the interpreter, which would keep what could not be written and fail with it at the end.
    """

    _cut = False

    def write(self, text: str) -> None:
        """A whole line, its end included; after one that was cut short, on a line of its own."""
        try:
            self._write(("\n" if self._cut else "") + text)
            self._cut = False
        except OSError:
            self._cut = True
            from witnessmark.api.edge import metrics  # noqa: PLC0415 - counts are set up after the log

            metrics.lines_lost.inc()

    @staticmethod
    def _write(text: str) -> None:
        try:
            file = sys.stdout.fileno()
        except OSError:  # none of the system's, such as that of a test
            sys.stdout.write(text)
            return
        data = memoryview(text.encode("utf-8", "backslashreplace"))
        while data:
            data = data[os.write(file, data) :]

    def flush(self) -> None:
        """Nothing is kept."""


def configure(level: int = logging.INFO) -> None:
    """From now on."""
    shared: list[Processor] = [
        structlog.contextvars.merge_contextvars,
        structlog.processors.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        places,
    ]
    structlog.configure(
        processors=[*shared, structlog.processors.JSONRenderer()],
        wrapper_class=structlog.make_filtering_bound_logger(level),
        logger_factory=structlog.WriteLoggerFactory(Lines()),  # type: ignore[arg-type] # it asks for no more than these
        cache_logger_on_first_use=True,
    )
    handler = logging.StreamHandler(Lines())
    handler.setFormatter(
        structlog.stdlib.ProcessorFormatter(
            processors=[
                structlog.stdlib.ProcessorFormatter.remove_processors_meta,
                structlog.processors.JSONRenderer(),
            ],
            foreign_pre_chain=[*shared, structlog.stdlib.add_logger_name],
        )
    )
    logging.basicConfig(handlers=[handler], level=max(level, logging.WARNING), force=True)
    logging.captureWarnings(capture=True)


def places(_logger: WrappedLogger, _method: str, event: EventDict) -> EventDict:
    """Of a fault its kinds and places. Its words are left out: they may repeat what a caller sent."""
    fault = event.pop("exc_info", None)
    error = sys.exc_info()[1] if fault is True else fault[1] if isinstance(fault, tuple) else fault
    if isinstance(error, BaseException):
        event["exception"] = " <- ".join(_told(one) for one in _chain(error))
    return event


def _chain(error: BaseException) -> Iterator[BaseException]:
    """The error and what led to it."""
    seen: set[int] = set()
    following: BaseException | None = error
    while following is not None and id(following) not in seen:
        seen.add(id(following))
        yield following
        following = following.__cause__ or (None if following.__suppress_context__ else following.__context__)


def _told(error: BaseException) -> str:
    return f"{type(error).__name__} ({'; '.join(_steps(error.__traceback__))})"


def _steps(trace: TracebackType | None) -> list[str]:
    frames = traceback.extract_tb(trace)[-DEEPEST:]
    return [f"{Path(frame.filename).name}:{frame.lineno} {frame.name}" for frame in frames]
