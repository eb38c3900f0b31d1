from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.in_process import alive

from witnessmark.api.app import app, asgi
from witnessmark.api.bulk import work
from witnessmark.api.bulk.gate import gate


class Here:
    """Stands for the pool of processes: the work is done in this one."""

    async def done(self, job: work.Job) -> Any:
        return work.worked(job)


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gate(), "pool", Here())


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient]:
    with alive(app):
        yield TestClient(asgi, raise_server_exceptions=False)


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"
