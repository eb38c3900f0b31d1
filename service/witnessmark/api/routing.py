"""How every route of version 1 is made: strict JSON in, problems documented, operation named like its path."""

from __future__ import annotations

import inspect
from collections.abc import Awaitable, Callable, Sequence
from functools import wraps
from typing import Any, TypeVar

from fastapi import APIRouter
from fastapi.routing import APIRoute
from pydantic import BaseModel
from starlette._utils import get_route_path
from starlette.responses import Response
from starlette.routing import BaseRoute, Match
from starlette.types import Receive, Scope, Send

from witnessmark.api.problems import documented
from witnessmark.api.slow_work import apart
from witnessmark.api.strict_json import StrictRoute

T = TypeVar("T")
F = TypeVar("F", bound=Callable[..., Any])
_BODY = documented("malformed-json", "request-timeout", "content-too-large", "unsupported-media-type", "invalid-input")
_QUERY = {**documented("invalid-input"), 304: {"description": "What the caller already has (If-None-Match)."}}


def version_one(tag: str) -> APIRouter:
    """A router under /v1 for operations with this tag."""
    return APIRouter(prefix="/v1", tags=[tag], route_class=StrictRoute)


def calculation(router: APIRouter, path: str, summary: str, **more: Any) -> Callable[[F], F]:
    """Decorator: POST `path`, operation id from the function's name, problems documented.

    A function that is not `async` may take more than 5 ms: it is called apart from the event loop (`slow_work`). So are
    the lines of a mixture traced, which every function may meet (`StrictRoute`).
    """

    def register(function: F) -> F:
        light = inspect.iscoroutinefunction(function)
        responses = {**_BODY, **documented("unavailable"), **more.pop("responses", {})}
        route = router.post(path, operation_id=function.__name__, summary=summary, responses=responses, **more)
        route(_written(function if light else _apart(function)))
        return function

    return register


def _written(function: Callable[..., Awaitable[Any]]) -> Callable[..., Awaitable[Any]]:
    """The answer as bytes: it was validated where it was made, and the framework would do so once more."""

    @wraps(function)
    async def operation(*args: Any, **kwargs: Any) -> Any:
        answer = await function(*args, **kwargs)
        if not isinstance(answer, BaseModel):
            return answer
        return Response(answer.__pydantic_serializer__.to_json(answer, by_alias=True), media_type="application/json")

    return operation


class Index(BaseRoute):
    """Stands before all other routes and finds those with a fixed address by it, instead of one after the other."""

    def __init__(self, routes: Sequence[BaseRoute]) -> None:
        fixed = [route for route in routes if isinstance(route, APIRoute) and "{" not in route.path]
        self.by_address = {(method, route.path): route for route in fixed for method in route.methods or ()}

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """As the route itself says; nothing where there is none, which the other routes then see to."""
        route = self.by_address.get((scope.get("method", ""), get_route_path(scope)))
        return (Match.NONE, {}) if route is None else route.matches(scope)

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """By the route that was found."""
        await scope["route"].handle(scope, receive, send)


def _apart(function: Callable[..., T]) -> Callable[..., Awaitable[T]]:
    @wraps(function)
    async def operation(*args: Any, **kwargs: Any) -> T:
        return await apart(function, *args, **kwargs)

    return operation


def catalogue(router: APIRouter, path: str, summary: str, **more: Any) -> Callable[[F], F]:
    """Decorator: GET `path`, operation id from the function's name, problems documented."""

    def register(function: F) -> F:
        responses = {**_QUERY, **more.pop("responses", {})}
        route = router.get(path, operation_id=function.__name__, summary=summary, responses=responses, **more)
        return route(function)

    return register
