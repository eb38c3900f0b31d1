"""Spans: none unless asked for; then one a request with the numbers of the log line, and nothing of what was sent."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
import structlog
from starlette.testclient import TestClient
from tests.in_process import alive

from witnessmark import settings
from witnessmark.api import app as made
from witnessmark.api import transport
from witnessmark.api.edge import telemetry
from witnessmark.api.edge.trace import SAMPLED, current
from witnessmark.api.openapi import examples
from witnessmark.settings import SettingError, Settings

export = pytest.importorskip("opentelemetry.sdk.trace.export", reason="the extra `telemetry` is not installed")
memory = pytest.importorskip("opentelemetry.sdk.trace.export.in_memory_span_exporter")
REAL = telemetry.provider
MARK = "zqxMarkedzqx"
PARENT = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01"


@pytest.fixture(scope="module")
def spans() -> Any:
    return memory.InMemorySpanExporter()


@pytest.fixture(scope="module")
def client(spans: Any) -> Iterator[TestClient]:
    """A service that tells its spans to the memory."""
    provider = telemetry.recording()
    provider.add_span_processor(export.SimpleSpanProcessor(spans))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(settings, "current", lambda: Settings(telemetry="otlp"))
        patch.setattr(telemetry, "provider", lambda: provider)
        patch.setattr(transport, "_BEGUN", SAMPLED)
        app = made.create()
        with alive(app):
            yield TestClient(transport.Transport(app), raise_server_exceptions=False)


@pytest.fixture
def told(spans: Any) -> Any:
    spans.clear()
    return spans.get_finished_spans


def body() -> Any:
    return next(iter(examples()["superheat"].values()))["value"]


def test_a_request_is_one_span_with_the_numbers_of_its_log_line(client: TestClient, told: Any) -> None:
    with structlog.testing.capture_logs() as lines:
        answer = client.post("/v1/superheat", json=body())
    (line,) = [one for one in lines if one["event"] == "request"]
    (request,) = [one for one in told() if one.parent is None]
    assert request.name == "POST /v1/superheat"
    assert f"{request.context.trace_id:032x}" == line["trace_id"]
    assert f"{request.context.span_id:016x}" == line["span_id"]
    assert answer.headers["traceparent"] == f"00-{line['trace_id']}-{line['span_id']}-01"
    assert {one.context.trace_id for one in told()} == {request.context.trace_id}
    assert request.resource.attributes["service.name"] == "witnessmark"


def test_a_caller_s_trace_is_continued(client: TestClient, told: Any) -> None:
    client.post("/v1/superheat", json=body(), headers={"traceparent": PARENT})
    (request,) = [one for one in told() if one.name == "POST /v1/superheat"]
    assert (f"{request.context.trace_id:032x}", f"{request.parent.span_id:016x}") == tuple(PARENT.split("-")[1:3])


def test_what_a_caller_does_not_want_traced_is_not(client: TestClient, told: Any) -> None:
    client.post("/v1/superheat", json=body(), headers={"traceparent": PARENT[:-1] + "0"})
    assert told() == ()


def test_nothing_of_what_was_sent_is_in_a_span(client: TestClient, told: Any) -> None:
    headers = {
        "traceparent": PARENT, "tracestate": f"a={MARK}", "baggage": f"a={MARK}", "user-agent": MARK,
        "host": f"{MARK}.example.org", "authorization": f"Bearer {MARK}", "x-request-id": MARK,
    }  # fmt: skip
    client.post("/v1/superheat", json={**body(), MARK: 1}, headers=headers)
    client.post("/v1/superheat", json={**body(), "refrigerant": MARK}, headers=headers)
    client.post(f"/v1/bulk/superheat?refrigerant={MARK}", content=MARK, headers={**headers, "content-type": "text/csv"})
    client.get(f"/v1/refrigerants/{MARK}", headers=headers)
    client.get(f"/{MARK}", headers=headers)
    client.request(MARK, "/v1/superheat", headers=headers)
    every = told()
    assert len(every) >= 6
    written = json.dumps([json.loads(one.to_json()) for one in every])
    assert MARK.lower() not in written.lower()
    assert {name for one in every for name in one.attributes} <= telemetry.TOLD


def test_health_makes_no_spans(client: TestClient, told: Any) -> None:
    for path in ("/livez", "/readyz", "/metrics"):
        client.get(path)
    assert told() == ()


def test_without_a_word_nothing_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "current", Settings)
    assert telemetry.config() == {"tracing": False, "metrics": False, "logs": False}


def test_a_missing_library_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing() -> Any:
        raise ModuleNotFoundError(name="opentelemetry.sdk")

    monkeypatch.setattr(settings, "current", lambda: Settings(telemetry="otlp"))
    monkeypatch.setattr(telemetry, "provider", missing)
    with pytest.raises(SettingError, match=r"opentelemetry\.sdk.*witnessmark\[telemetry\]"):
        telemetry.config()


def test_spans_go_where_the_variables_say(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("opentelemetry.exporter.otlp.proto.http")
    monkeypatch.setenv("OTEL_EXPORTER_OTLP_ENDPOINT", "http://127.0.0.1:9")
    provider: Any = REAL()
    (sends,) = provider._active_span_processor._span_processors  # noqa: SLF001
    assert sends._batch_processor._exporter._endpoint == "http://127.0.0.1:9/v1/traces"  # noqa: SLF001
    provider.shutdown()


def test_outside_of_a_request_numbers_are_any() -> None:
    ids = telemetry.recording().id_generator
    current.set(None)
    assert ids.generate_trace_id() != ids.generate_trace_id()
    assert ids.generate_span_id() != ids.generate_span_id()
