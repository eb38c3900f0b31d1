"""Spans by OpenTelemetry, through the framework's own switch: off unless asked for, and nothing of a caller in them.

The framework makes one span a request and some below it. Of the attributes that it would give them only those stay that
come from closed lists; the state that a caller's trace carries is dropped. Trace and span are those of the log line.
Needs the extra `telemetry` of the package.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from fastapi.telemetry import TelemetryConfig
from opentelemetry import trace as otel

from witnessmark import __version__, settings
from witnessmark.api.edge.trace import current

if TYPE_CHECKING:
    from opentelemetry.context import Context

OFF: TelemetryConfig = {"tracing": False, "metrics": False, "logs": False}
TOLD = frozenset(
    {
        "http.route", "http.request.method", "http.response.status_code", "url.scheme", "network.protocol.version",
        "error.type", "code.function.name",
    }
)  # fmt: skip
"""Attributes whose values are words of closed lists."""
_QUIET = ("/livez", "/readyz", "/metrics")


class Tracer(otel.Tracer):
    """Makes spans as another does, with the attributes that are told only."""

    def __init__(self, inner: otel.Tracer) -> None:
        self.inner = inner

    def start_span(self, name: str, context: Context | None = None, *args: Any, **more: Any) -> otel.Span:
        """Begin one."""
        more["attributes"] = {k: v for k, v in (more.get("attributes") or {}).items() if k in TOLD}
        return self.inner.start_span(name, _without_state(context), *args, **more)

    def start_as_current_span(self, name: str, *args: Any, **more: Any) -> Any:
        """Begin one for a block; the framework gives it the names of its own functions only."""
        return self.inner.start_as_current_span(name, *args, **more)


class Provider(otel.TracerProvider):
    """Gives such tracers."""

    def __init__(self, inner: otel.TracerProvider) -> None:
        self.inner = inner

    def get_tracer(self, *args: Any, **more: Any) -> otel.Tracer:
        """One of them."""
        return Tracer(self.inner.get_tracer(*args, **more))


def _without_state(context: Context | None) -> Context | None:
    """The same context, its trace without the state that the caller gave it: that is free text."""
    span = otel.get_current_span(context).get_span_context()
    if not span.trace_state:
        return context
    bare = otel.SpanContext(span.trace_id, span.span_id, span.is_remote, span.trace_flags)
    return otel.set_span_in_context(otel.NonRecordingSpan(bare), context)


def name(path: str) -> None:
    """Tell the span of the request its template of an address, where the framework's own search was passed by."""
    span = otel.get_current_span()
    if span.is_recording():
        span.set_attribute("http.route", path)
        span.update_name(f"{getattr(span, 'name', '')} {path}")


def config() -> TelemetryConfig:
    """What the framework is told. SettingError where telemetry is asked for and its library is not installed."""
    if not settings.current().telemetry:
        return OFF
    try:
        inner = provider()
    except ModuleNotFoundError as missing:
        text = f"telemetry: needs {missing.name}, which is not installed: pip install 'witnessmark[telemetry]'"
        raise settings.SettingError(text) from None
    return {**OFF, "tracing": True, "tracer_provider": Provider(inner), "auto_configure": False, "exclude": _excluded}


def _excluded(scope: Mapping[str, Any]) -> bool:
    return str(scope["path"]).endswith(_QUIET)


def provider() -> otel.TracerProvider:
    """Spans in batches to where the standard variables of the exporter say."""
    from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter  # noqa: PLC0415 - an extra
    from opentelemetry.sdk.trace.export import BatchSpanProcessor  # noqa: PLC0415

    made = recording()
    made.add_span_processor(BatchSpanProcessor(OTLPSpanExporter()))
    return made  # type: ignore[no-any-return]


def recording() -> Any:
    """A provider of the library whose first span of a request has the trace and the number that the log line tells."""
    from opentelemetry.sdk.resources import Resource  # noqa: PLC0415
    from opentelemetry.sdk.trace import TracerProvider  # noqa: PLC0415
    from opentelemetry.sdk.trace.id_generator import RandomIdGenerator  # noqa: PLC0415

    class Ours(RandomIdGenerator):  # type: ignore[misc, unused-ignore]
        """Numbers of this request, then any."""

        def generate_trace_id(self) -> int:
            own = current.get()
            return int(super().generate_trace_id()) if own is None else int(own.trace, 16)

        def generate_span_id(self) -> int:
            own = current.get()
            current.set(None)
            return int(super().generate_span_id()) if own is None else int(own.span, 16)

    resource = Resource.create({"service.name": "witnessmark", "service.version": __version__})
    return TracerProvider(id_generator=Ours(), resource=resource)
