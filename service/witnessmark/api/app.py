"""The application: routes, problems and transport put together."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager

import structlog
from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from pydantic import ValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.cors import CORSMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp

from witnessmark import __version__, settings
from witnessmark.api import docs, guide, handed, openapi
from witnessmark.api.context import Site
from witnessmark.api.edge import keys, telemetry
from witnessmark.api.health import readiness
from witnessmark.api.health import router as health_router
from witnessmark.api.methods import allowed_methods
from witnessmark.api.packing import Packing
from witnessmark.api.problems import ProblemError, from_input_error, from_validation, respond
from witnessmark.api.routes import routers
from witnessmark.api.strict_json import BODY_KEY, Index
from witnessmark.api.transport import LARGEST_BODY, Transport
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.effort import AbandonedError, OverworkedError
from witnessmark.errors import InputError

log = structlog.get_logger("witnessmark")
AN_HOUR = 3600
"""Seconds for which a browser need not ask again whether it may call."""
_BY_STATUS = {404: "not-found", 405: "method-not-allowed", 400: "malformed-json", 413: "content-too-large"}


@asynccontextmanager
async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
    """Load and check every data file before the first request."""
    readiness.warm()
    log.info("ready")
    yield
    readiness.drain()


async def on_problem(_request: Request, error: Exception) -> Response:
    """A problem that the web layer raised itself."""
    assert isinstance(error, ProblemError)  # noqa: S101 - registered for it
    return respond(error.slug, error.text, error.errors, dict(error.headers or {}))


async def on_validation(_request: Request, error: Exception) -> Response:
    """A body, query or path that does not fit the schema."""
    assert isinstance(error, RequestValidationError)  # noqa: S101 - registered for it
    return from_validation(error)


async def on_input(request: Request, error: Exception) -> Response:
    """A value that a calculation cannot use."""
    assert isinstance(error, InputError)  # noqa: S101 - registered for it
    body = request.scope.get(BODY_KEY)
    return from_input_error(error, body, _air_pressure(body))


def _air_pressure(body: object) -> float:
    """Air pressure for showing a range in a gauge unit; sea level where the site itself is what is wrong."""
    site = body.get("site") if isinstance(body, dict) else None
    try:
        return Site.model_validate(site).air_pressure() if site is not None else SEA_LEVEL_PRESSURE
    except (InputError, ValidationError):
        return SEA_LEVEL_PRESSURE


async def on_http(request: Request, error: Exception) -> Response:
    """What the framework refuses: no such address, no such method, an unreadable body."""
    assert isinstance(error, HTTPException)  # noqa: S101 - registered for it
    headers, detail = dict(error.headers or {}), None
    if error.status_code == 405:  # noqa: PLR2004
        headers["Allow"] = ", ".join(sorted(allowed_methods(request.app, request.scope["path"])))
        detail = f"this address takes {headers['Allow']}"
    return respond(_BY_STATUS.get(error.status_code, "internal-error"), detail, headers=headers)


async def on_overwork(_request: Request, _error: Exception) -> Response:
    """A light request that was not light, in a process for slow work."""
    return respond("too-much-work", "the calculation was given up; fewer or other readings")


async def on_crash(request: Request, error: Exception) -> Response:
    """The last resort: log, and answer a problem."""
    log.error("crash", route=getattr(request.scope.get("route"), "path", None), exc_info=error)
    return respond("internal-error")


def create() -> FastAPI:
    """The application without its transport layer."""
    app = FastAPI(
        title="Witnessmark",
        version=__version__,
        summary="Compressor failure analysis, circuit cleanup and safe restart.",
        description=openapi.DESCRIPTION,
        contact={"name": "The maintainers of this installation"},
        license_info={"name": "MIT", "identifier": "MIT"},
        servers=[{"url": "/", "description": "This service"}],
        openapi_tags=[{"name": name, "description": text} for name, text in TAGS.items()],
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        max_body_size=LARGEST_BODY,
        separate_input_output_schemas=False,
        telemetry=telemetry.config(),
        lifespan=lifespan,
    )
    for error, handler in _HANDLERS.items():
        app.add_exception_handler(error, handler)
    # One flat list: included routers would be asked one by one at each request, a fifth of a light one.
    routes = [route for router in (*routers(), health_router, docs.router, guide.router) for route in router.routes]
    app.router.routes.extend([Index(routes), *routes])
    openapi.install(app, keys=keys.current() is not None)
    return app


TAGS = {
    "properties": "What a refrigerant is and how it behaves.",
    "calculations": "From readings to numbers.",
    "diagnosis": "From findings to failure modes to causes.",
    "cleanup": "From a contaminated circuit to a clean one.",
    "restart": "Tests before power is given, and the gate.",
    "cases": "The whole job: what is known, what follows, what to ask, what to tell.",
    "bulk": "Many rows at once, and how much of anything is taken.",
    "operations": "Is the service alive and ready.",
}
_HANDLERS = {
    ProblemError: on_problem,
    RequestValidationError: on_validation,
    InputError: on_input,
    HTTPException: on_http,
    OverworkedError: on_overwork,
    AbandonedError: on_overwork,
    Exception: on_crash,
}

app = create()
handed.serve(app)
_SENT = ["content-type", "authorization", "x-api-key", "x-request-id", "traceparent", "if-none-match"]
_READ = [
    "etag", "allow", "retry-after", "www-authenticate", "content-disposition", "x-request-id", "traceparent",
    "deprecation", "sunset", "link", "rows-total", "rows-failed", "rows-notes",
]  # fmt: skip


def outermost(inner: ASGIApp, origins: Sequence[str] = ()) -> ASGIApp:
    """The application with all that stands before it. origins: whose pages may call, exactly as browsers send them."""
    answered: ASGIApp = Transport(inner)
    if origins:
        answered = CORSMiddleware(
            answered, origins, ["GET", "HEAD", "POST"], _SENT, expose_headers=_READ, max_age=AN_HOUR
        )
    return Packing(answered)


asgi = outermost(app, settings.current().origins.split())
