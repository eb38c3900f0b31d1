from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient
from tests.in_process import alive

from witnessmark.api.app import app, asgi


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient]:
    """The service behind its transport layer, warmed up."""
    with alive(app):  # runs the lifespan; the transport layer itself has none
        yield TestClient(asgi, raise_server_exceptions=False)


@pytest.fixture
def anyio_backend() -> str:
    """Coroutine tests run on asyncio, as the server does."""
    return "asyncio"
