"""What is counted, in the form that Prometheus reads: no payload, no address, no name of a caller."""

from __future__ import annotations

import os
from contextvars import ContextVar

from prometheus_client import (
    CONTENT_TYPE_LATEST,
    REGISTRY,
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    generate_latest,
)
from prometheus_client.multiprocess import MultiProcessCollector

FOLDER = "PROMETHEUS_MULTIPROC_DIR"
"""The library's own variable: where worker processes share their counts. It must be set before this is imported."""
_SECONDS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)

requests = Histogram(
    "witnessmark_request_seconds", "From the head of a request to the end of its answer.", ["route", "status"],
    buckets=_SECONDS,
)  # fmt: skip
work = Histogram("witnessmark_work_seconds", "Slow work, once its turn had come.", ["route"], buckets=_SECONDS)
waits = Histogram("witnessmark_wait_seconds", "Slow work waiting for its turn.", buckets=_SECONDS)
waiting = Gauge("witnessmark_waiting", "Pieces of slow work that wait.", multiprocess_mode="livesum")
problems = Counter("witnessmark_problems", "Answers that were problems, by kind.", ["kind"])
dropped = Counter("witnessmark_dropped", "Requests whose caller closed the connection first.")
verdicts = Counter("witnessmark_verdicts", "What answers came to, in words of closed lists.", ["operation", "verdict"])
lines_lost = Counter("witnessmark_log_lines_lost", "Lines of the log that could not be written.")
connections = Counter("witnessmark_connections", "Connections that the edge ended, by why.", ["why"])
told: ContextVar[list[tuple[str, str]] | None] = ContextVar("told", default=None)
"""Where verdicts are kept instead, in a process that does slow work: they are counted where the answer is given."""


def page() -> tuple[bytes, str]:
    """All counts, and the media type they are in; of all worker processes where there are several."""
    registry = REGISTRY
    if FOLDER in os.environ:
        registry = CollectorRegistry()
        MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
    return generate_latest(registry), CONTENT_TYPE_LATEST
