import pytest
from starlette.testclient import TestClient

from witnessmark.api.health import readiness


def test_alive_and_ready(client: TestClient) -> None:
    assert client.get("/livez").json() == {"status": "alive"}
    response = client.get("/readyz")
    assert (response.status_code, response.json()) == (200, {"status": "ready"})
    assert response.headers["cache-control"] == "no-store"


def test_not_ready_while_draining(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(readiness, "ready", False)
    response = client.get("/readyz")
    assert response.status_code == 503
    assert response.headers["retry-after"]
    assert client.get("/livez").status_code == 200
