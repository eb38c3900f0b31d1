import pytest
from starlette.testclient import TestClient

from witnessmark.api.health import Readiness, readiness


def test_alive_and_ready(client: TestClient) -> None:
    assert client.get("/livez").json() == {"status": "alive"}
    response = client.get("/readyz")
    assert (response.status_code, response.json()) == (200, {"status": "ready"})
    assert response.headers["cache-control"] == "no-store"


def test_not_ready_while_draining(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(readiness, "stage", "draining")
    response = client.get("/readyz")
    assert response.status_code == 503
    assert response.headers["retry-after"]
    assert client.get("/livez").status_code == 200
    good = {"refrigerant": "R-410A", "temperature": {"value": 5, "unit": "degC"}}
    assert client.post("/v1/saturation", json=good).status_code == 200  # what comes before the port closes is done


def test_work_is_refused_while_warming_and_health_is_answered(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(readiness, "stage", "warming")
    refused = client.post("/v1/saturation", json={})
    assert (refused.status_code, refused.json()["type"]) == (503, "/problems/unavailable")
    assert int(refused.headers["retry-after"]) > 0
    assert [client.get(path).status_code for path in ("/livez", "/readyz", "/metrics")] == [200, 503, 200]


def test_told_to_stop_while_warming_it_does_not_become_ready(monkeypatch: pytest.MonkeyPatch) -> None:
    readiness = Readiness()
    monkeypatch.setattr("witnessmark.api.health.warm_up", readiness.drain)
    readiness.warm()
    assert (readiness.stage, readiness.ready) == ("draining", False)


def test_what_was_counted_can_be_read(client: TestClient) -> None:
    client.get("/v1/refrigerants/R-32")
    page = client.get("/metrics")
    assert page.headers["content-type"].startswith("text/plain")
    counted = 'witnessmark_request_seconds_count{route="/v1/refrigerants/{designation}",status="200"}'
    assert counted in page.text
    assert "R-32" not in page.text
