"""Which methods an address takes: the union over all its routes, where the framework's own 405 names the first only."""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.routing import iter_route_contexts


def allowed_methods(app: FastAPI, path: str) -> set[str]:
    """The methods of every route whose path matches, or of those with just this path; HEAD goes with GET."""
    exact: set[str] = set()
    methods: set[str] = set()
    for context in iter_route_contexts(app.router.routes):
        pattern = getattr(context, "path_regex", None) or getattr(context.route, "path_regex", None)
        if pattern is not None and pattern.match(path):
            own = set(getattr(context, "methods", None) or getattr(context.route, "methods", None) or ())
            methods |= own
            exact |= own if getattr(context.route, "path", None) == path else set()
    methods = exact or methods
    return methods | {"HEAD"} if "GET" in methods else methods
