"""Documentation that works without internet: Swagger UI from an installed package, pages for the kinds of problem."""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from weakref import WeakKeyDictionary

from fastapi import APIRouter, FastAPI
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from witnessmark.api import handed
from witnessmark.api.problems import KINDS, ProblemError
from witnessmark.api.slow_work import apart
from witnessmark.api.strict_json import cacheable

router = APIRouter(include_in_schema=False)
_STATIC = files("fastapi_offline").joinpath("static")
_ASSETS = {"swagger-ui-bundle.js": "text/javascript", "swagger-ui.css": "text/css", "favicon.png": "image/png"}
_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>{head}</head><body>{body}</body></html>
"""
_START = "SwaggerUIBundle({url: '/openapi.json', dom_id: '#ui', deepLinking: true, validatorUrl: null});"
_POLICY = {
    "content-security-policy": "default-src 'none'; script-src 'self'; connect-src 'self'; img-src 'self' data:; "
    "style-src 'self' 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
}
"""The reference writes styles into its elements; nothing else of it is inline."""


@router.get("/")
async def root() -> Response:
    """Where to go from here."""
    return JSONResponse(
        {"service": "Witnessmark", "guide": "/guide/", "reference": "/docs", "document": "/openapi.json"}
    )


@router.get("/docs")
async def docs() -> Response:
    """The interactive reference."""
    head = '<link rel="stylesheet" href="/docs/swagger-ui.css"><link rel="icon" href="/docs/favicon.png">'
    body = '<div id="ui"></div><script src="/docs/swagger-ui-bundle.js"></script><script src="/docs/start.js"></script>'
    return HTMLResponse(_PAGE.format(title="Witnessmark reference", head=head, body=body), headers=_POLICY)


@router.get("/openapi.json")
async def document(request: Request) -> Response:
    """The OpenAPI document; written at the first request, which takes seconds, so health checks go on meanwhile."""
    if handed.workers and request.app not in _written:
        _written[request.app] = bytes((await handed.answer(request)).body)
    text = _written.get(request.app) or await apart(_document, request.app)
    return cacheable(request, Response(text, media_type="application/json"))


_written: WeakKeyDictionary[FastAPI, bytes] = WeakKeyDictionary()


@lru_cache(1)
def _document(app: FastAPI) -> bytes:
    return json.dumps(app.openapi(), ensure_ascii=False, separators=(",", ":")).encode()


@router.get("/docs/start.js")
async def start() -> Response:
    """The one line that starts the reference; a file of its own, so that the content policy can be strict."""
    return Response(_START, media_type="text/javascript")


@router.get("/docs/{name}")
async def asset(name: str) -> Response:
    """A file of the reference."""
    if name not in _ASSETS:
        raise ProblemError("not-found")
    headers = {"cache-control": "public, max-age=86400"}
    return Response(_STATIC.joinpath(name).read_bytes(), media_type=_ASSETS[name], headers=headers)


@router.get("/problems/{slug}")
async def problem_page(slug: str) -> Response:
    """What a kind of problem means."""
    if slug not in KINDS:
        raise ProblemError("not-found")
    kind = KINDS[slug]
    body = f"<h1>{kind.slug}</h1><p>Status {kind.status}. {kind.text}</p>"
    return HTMLResponse(_PAGE.format(title=kind.slug, head="", body=body))
