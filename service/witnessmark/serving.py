"""How the service is run: what is set, what is logged, one process or several."""

from __future__ import annotations

import os
import shutil
import tempfile
from dataclasses import asdict
from pathlib import Path

import structlog
import uvicorn
from starlette.types import ASGIApp

from witnessmark import data
from witnessmark.api.edge import garbage, logs
from witnessmark.settings import LEVELS, Settings, current, handed_on

WORKER_SECONDS = 90
"""For a worker to answer its supervisor: it does so only once all is imported, tens of seconds on a busy machine."""
log = structlog.get_logger("witnessmark")


def server_settings(settings: Settings) -> dict[str, object]:
    """The server's own settings."""
    return {
        "host": settings.host,
        "port": settings.port,
        "workers": settings.workers,
        "root_path": settings.root_path,
        "access_log": False,
        "log_config": None,
        "log_level": "error",
        "lifespan": "off",
        "timeout_graceful_shutdown": settings.drain_seconds,
        "timeout_keep_alive": min(5.0, settings.head_seconds),
        "timeout_worker_healthcheck": WORKER_SECONDS,
        "http": "witnessmark.api.edge.protocol:Protocol",
        "h11_max_incomplete_event_size": settings.largest_head,
        "ws": "none",
        "server_header": False,
    }


def application() -> ASGIApp:
    """The application as a worker process runs it."""
    logs.configure(LEVELS[current().log_level])
    with garbage.unsearched():
        from witnessmark.api.app import asgi  # noqa: PLC0415 - logging first, so that loading faults are logged too
    return asgi


def serve(settings: Settings) -> int:
    """Run until told to stop; the exit code. DataError if a data file cannot be used, SettingError if the keys cannot.

    One thread a process for matrix products, unless the caller chose: more of them wait for each other at full load,
    and no answer comes sooner (measured: the same time, half the processor time).
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    os.environ.update(handed_on(settings))
    current.cache_clear()
    made = _shared_folder() if settings.workers > 1 and "PROMETHEUS_MULTIPROC_DIR" not in os.environ else None
    if made:
        os.environ["PROMETHEUS_MULTIPROC_DIR"] = made
    logs.configure(LEVELS[settings.log_level])
    host = settings.host
    url = f"http://{f'[{host}]' if ':' in host else host}:{settings.port}"
    log.info("starting", url=url, reference=f"{url}/docs", settings=asdict(settings))
    from witnessmark.api.edge import keys  # noqa: PLC0415 - after the settings above

    keys.current()
    application()  # whoever reads a file is known once all is imported
    with garbage.unsearched():
        data.check()
    from witnessmark.api.edge import server  # noqa: PLC0415 - what is counted is set up by the environment above

    config = uvicorn.Config("witnessmark.serving:application", factory=True, **server_settings(settings))  # type: ignore[arg-type]
    try:
        return server.run(config)
    finally:
        if made:
            shutil.rmtree(made, ignore_errors=True)


def _shared_folder() -> str:
    """Where the worker processes share their counts: in memory where all else is read-only."""
    memory = Path("/dev/shm")  # noqa: S108 - a folder of its own in it
    return tempfile.mkdtemp(prefix="witnessmark-", dir=memory if os.access(memory, os.W_OK) else None)
