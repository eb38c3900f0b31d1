"""The guide for people, at /guide: pages that the build put into the package. Nothing of it comes from elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from witnessmark.api.problems import ProblemError
from witnessmark.api.strict_json import cacheable

router = APIRouter(include_in_schema=False)
FOLDER = Path(str(files("witnessmark"))) / "guide"
_TYPES = {".html": "text/html", ".css": "text/css", ".js": "text/javascript"}
_POLICY = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
}
"""Nothing inline: the search is made of files, and so is the look."""


@cache
def _pages(folder: Path) -> Mapping[str, tuple[bytes, str]]:
    """Every file that is shown, by its name: what is not listed here is not there."""
    found = (path for path in sorted(folder.rglob("*")) if path.suffix in _TYPES)
    return {path.relative_to(folder).as_posix(): (path.read_bytes(), _TYPES[path.suffix]) for path in found}


@router.get("/guide")
async def guide() -> Response:
    """The links of the guide count from the slash."""
    return RedirectResponse("guide/", 308)


@router.get("/guide/{name:path}")
async def guide_page(request: Request, name: str) -> Response:
    """A page of the guide, or a file that it needs."""
    pages = _pages(FOLDER)
    if not pages:
        raise ProblemError("not-found", "the guide was not built here; `make guide` builds it")
    asked = f"{name}index.html" if name == "" or name.endswith("/") else name
    if asked not in pages:
        raise ProblemError("not-found")
    content, media = pages[asked]
    return cacheable(request, Response(content, media_type=media, headers=dict(_POLICY)))
