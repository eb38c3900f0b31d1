from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from witnessmark.api.app import app, asgi
from witnessmark.api.health import readiness


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient]:
    """The service behind its transport layer, warmed up."""
    with TestClient(app):  # runs the lifespan; the transport layer itself has none
        yield TestClient(asgi, raise_server_exceptions=False)


@pytest.fixture(autouse=True)
def _ready(client: TestClient) -> None:  # noqa: ARG001 - it warms up the service
    """Each test begins with a service that takes work, whatever another made of the one in this process."""
    readiness.stage = "ready"


@pytest.fixture
def anyio_backend() -> str:
    """Coroutine tests run on asyncio, as the server does."""
    return "asyncio"
