"""How the service is run: uvicorn with bounded draining, JSON log lines, no access log of its own."""

from __future__ import annotations

import logging
import os

import structlog
import uvicorn
from starlette.types import ASGIApp

from witnessmark import data

DRAIN_SECONDS = 8
log = structlog.get_logger("witnessmark")


def configure_logging() -> None:
    """One JSON line an event on standard output."""
    structlog.configure(
        processors=[
            structlog.contextvars.merge_contextvars,
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            structlog.processors.JSONRenderer(),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.INFO),
        cache_logger_on_first_use=True,
    )


def settings(host: str, port: int, workers: int) -> dict[str, object]:
    """The server's settings."""
    return {
        "host": host,
        "port": port,
        "workers": workers,
        "access_log": False,
        "log_level": "warning",
        "timeout_graceful_shutdown": DRAIN_SECONDS,
        "timeout_keep_alive": 5,
        "http": "witnessmark.api.http_faults:Protocol",
        "ws": "none",
        "server_header": False,
    }


def application() -> ASGIApp:
    """The application as a worker process runs it."""
    configure_logging()
    from witnessmark.api.app import asgi  # noqa: PLC0415 - logging first, so that loading faults are logged too

    return asgi


def serve(host: str, port: int, workers: int) -> None:
    """Run until told to stop; DataError if a data file cannot be used.

    One thread a process for matrix products, unless the caller chose: more of them wait for each other at full load,
    and no answer comes sooner (measured: the same time, half the processor time).
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    configure_logging()
    url = f"http://{f'[{host}]' if ':' in host else host}:{port}"
    log.info("starting", url=url, reference=f"{url}/docs", workers=workers)
    application()  # whoever reads a file is known once all is imported
    data.check()
    uvicorn.run("witnessmark.serving:application", factory=True, **settings(host, port, workers))  # type: ignore[arg-type]
