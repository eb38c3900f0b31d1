"""How every route of version 1 is made: strict JSON in, problems documented, operation named like its path."""

from __future__ import annotations

import inspect
from collections.abc import Awaitable, Callable
from functools import cache, wraps
from typing import Any, TypeVar

from fastapi import APIRouter
from pydantic import TypeAdapter
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from witnessmark.api.edge import metrics
from witnessmark.api.problems import documented
from witnessmark.api.retiring import Retirement
from witnessmark.api.slow_work import apart
from witnessmark.api.strict_json import StrictRoute

T = TypeVar("T")
F = TypeVar("F", bound=Callable[..., Any])
_BODY = documented("malformed-json", "request-timeout", "content-too-large", "unsupported-media-type", "invalid-input")
_QUERY = {**documented("invalid-input"), 304: {"description": "What the caller already has (If-None-Match)."}}


def version_one(tag: str) -> APIRouter:
    """A router under /v1 for operations with this tag."""
    return APIRouter(prefix="/v1", tags=[tag], route_class=StrictRoute)


def calculation(
    router: APIRouter, path: str, summary: str, retires: Retirement | None = None, *, slow: bool = False, **more: Any
) -> Callable[[F], F]:
    """Decorator: POST `path`, operation id from the function's name, problems documented. retires: what goes with it.

    A function that is not `async` may take more than 5 ms: it is called apart from the event loop (`slow_work`). So are
    the lines of a mixture traced, which every function may meet (`StrictRoute`). slow: it is `async` and calls parts
    of itself apart.
    """

    def register(function: F) -> F:
        light = inspect.iscoroutinefunction(function)
        responses = {**_BODY, **documented("unavailable"), **more.pop("responses", {})}
        told: dict[str, Any] = {"summary": summary, "responses": responses, "deprecated": True if retires else None}
        route = router.post(path, operation_id=function.__name__, **told, **more)
        route(_counted(function) if light else _apart(function))
        made: Any = router.routes[-1]  # a StrictRoute
        made.retires, made.slow = retires, slow or not light
        return function

    return register


def _apart(function: Callable[..., Any]) -> Callable[..., Awaitable[Response]]:
    """The same, called apart; its answer is written there too: a long one takes as long as a short calculation."""

    @wraps(function)
    async def operation(*args: Any, **kwargs: Any) -> Response:
        return await apart(written, function, *args, **kwargs)

    return operation


def _threaded(function: Callable[..., Any]) -> Callable[..., Awaitable[Response]]:
    """The same, called and written by a thread: it waits for nothing, so it need not stand in the line of slow work."""

    @wraps(function)
    async def operation(*args: Any, **kwargs: Any) -> Response:
        return await run_in_threadpool(written, function, *args, **kwargs)

    return operation


def written(function: Callable[..., Any], *args: Any, **kwargs: Any) -> Response:
    """The answer of a function as the framework would write it; a response of its own stays as it is."""
    answer = function(*args, **kwargs)
    if isinstance(answer, Response):
        return answer
    _count(function.__name__, answer)
    kind: Any = type(answer)
    return Response(_writer(kind).dump_json(answer, by_alias=True), media_type="application/json")


@cache
def _writer(kind: Any) -> TypeAdapter[Any]:
    """Writes an answer as the framework does."""
    return TypeAdapter(kind)


def _counted(function: Callable[..., Awaitable[T]]) -> Callable[..., Awaitable[T]]:
    @wraps(function)
    async def operation(*args: Any, **kwargs: Any) -> T:
        answer = await function(*args, **kwargs)
        _count(function.__name__, answer)
        return answer

    return operation


def _count(name: str, answer: Any) -> None:
    """Count the verdict of an answer where it has one: a word, or an object with a state."""
    verdict = getattr(getattr(answer, "result", None), "verdict", None)
    if isinstance(word := getattr(verdict, "state", verdict), str):
        kept = metrics.told.get()
        if kept is None:
            metrics.verdicts.labels(name, word).inc()
        else:
            kept.append((name, word))


def catalogue(router: APIRouter, path: str, summary: str, **more: Any) -> Callable[[F], F]:
    """Decorator: GET `path`, operation id from the function's name, problems documented.

    A function that is not `async` may take more than 5 ms: a thread of the framework's calls it and writes its answer.
    """

    def register(function: F) -> F:
        responses = {**_QUERY, **more.pop("responses", {})}
        route = router.get(path, operation_id=function.__name__, summary=summary, responses=responses, **more)
        route(function if inspect.iscoroutinefunction(function) else _threaded(function))
        return function

    return register
