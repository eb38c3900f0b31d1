"""JSON as RFC 8259 and I-JSON (RFC 7493) mean it: UTF-8, no duplicate names, no NaN, no lone surrogates, finite."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Awaitable, Callable, Coroutine, Sequence
from contextlib import suppress
from typing import Any, NoReturn

from fastapi._compat import ModelField
from fastapi.datastructures import DefaultPlaceholder
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from opentelemetry import trace as otel
from pydantic import TypeAdapter, ValidationError
from starlette._utils import get_route_path
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Match
from starlette.types import Receive, Scope, Send

from witnessmark.api import handed
from witnessmark.api.edge import keys, telemetry
from witnessmark.api.json_faults import HALF, LONGEST_SEARCHED, NOT_A_NUMBER, TOO_LARGE, TOO_LONG, TWICE, faults
from witnessmark.api.plain_text import PLAIN, SAID, is_safe, unsafe_places
from witnessmark.api.problems import MOST_ERRORS, FieldProblem, ProblemError, misfit, pointer
from witnessmark.api.retiring import Retirement
from witnessmark.api.slow_work import NotBriefError, apart, briefly, is_light
from witnessmark.heavy import KeptOutError
from witnessmark.refrigerants import on_demand
from witnessmark.refrigerants.on_demand import UntracedError

PARTS_APART = {"/v1/dispatch": "calls"}
"""Members whose elements each have an answer or a problem of their own."""
BODY_KEY = "witnessmark.body"
JSON = "application/json"
MOST_MEMBERS = 200
"""Members of one object: the widest that a request can use has fewer than a hundred."""
TOO_MANY = "an object has more than 200 members"
READ_AT_ONCE = 16_384
"""Bytes: a larger body is read apart from the event loop, which a megabyte can hold for half a second."""
SMALL = 4_096
"""Bytes: a larger body is not what the light work of its kind was."""
MARK = "\ufeff"
"""The byte order mark, decoded."""
EXACT = 2.0**53
"""Below this every whole number is a double of its own."""


def _no_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) > MOST_MEMBERS:
        raise ValueError(TOO_MANY)
    members = dict(pairs)
    if len(members) != len(pairs):
        raise ValueError(TWICE)
    return members


def _no_constant(_token: str) -> NoReturn:
    raise ValueError(NOT_A_NUMBER)


def _finite(token: str) -> float:
    """The number; 2.0 and 1e3 are the integers 2 and 1000, as JSON Schema has it (draft 2020-12, 6.1.1)."""
    value = float(token)
    if not math.isfinite(value):
        raise ValueError(TOO_LARGE)
    return int(value) if value.is_integer() and abs(value) < EXACT else value


_decoder = json.JSONDecoder(object_pairs_hook=_no_duplicates, parse_constant=_no_constant, parse_float=_finite)


def decode(body: bytes) -> Any:
    """The value that the bytes stand for. Raises ValueError or RecursionError for anything but strict JSON.

    A byte order mark before it is left out, as RFC 8259 (8.1) allows: many spreadsheets and scripts write one.
    """
    text = body.decode("utf-8").removeprefix(MARK)
    value = _decoder.decode(text)
    if "\\u" in text:
        json.dumps(value, ensure_ascii=False).encode("utf-8")  # fails on a lone surrogate
    return value


def fault(error: ValueError) -> str:
    """What is wrong, without a word of the body."""
    if isinstance(error, json.JSONDecodeError):
        return f"{error.msg} at line {error.lineno}, column {error.colno}"
    if isinstance(error, UnicodeDecodeError):
        return f"not UTF-8 at byte {error.start}"
    if isinstance(error, UnicodeEncodeError):
        return HALF
    return TOO_LONG if "digits" in str(error) else str(error)


def _check_texts(text: str, value: Any) -> None:
    """Refuse texts that are not safe to show, with their places where looking for them costs little."""
    if is_safe(text):
        return
    if not (places := unsafe_places(value, MOST_ERRORS if len(text) <= LONGEST_SEARCHED else 1)):
        return
    errors = [FieldProblem(pointer=pointer(path), detail=SAID) for path in places]
    raise ProblemError("unusable-input", "a text cannot be used", errors=errors)


def where(body: bytes) -> list[FieldProblem]:
    """The fields that break a rule of strict JSON; empty where the body is no JSON at all."""
    places = faults(body.decode("utf-8", "replace").removeprefix(MARK), MOST_ERRORS)
    return [FieldProblem(pointer=pointer(path), detail=detail) for path, detail in places]


class StrictRequest(Request):
    """A request whose JSON is read strictly; the value is kept in the scope so that a problem can name its units."""

    def __init__(self, scope: Scope, receive: Receive, takes: ModelField | None = None) -> None:
        super().__init__(scope, receive)
        self.takes = takes

    async def json(self) -> Any:
        """The decoded body; a 400 problem if it is not strict JSON. A large one is fitted to its model here as well."""
        body = await self.body()
        if len(body) <= READ_AT_ONCE or self.takes is None:
            self.scope[BODY_KEY] = value = self._read(body)
            return value
        self.scope[BODY_KEY], fitted = await apart(self._read_and_fit, body, self.takes)
        return fitted

    def _read_and_fit(self, body: bytes, takes: ModelField) -> tuple[Any, Any]:
        """The value, and the model made of it as the framework would make it; it takes such a model as it is."""
        value = self._read(body)
        fitted, errors = takes.validate(value, {}, loc=("body",))
        if errors:
            raise misfit(errors)
        return value, fitted

    def _read(self, body: bytes) -> Any:
        try:
            value = decode(body)
        except RecursionError:
            raise ProblemError("malformed-json", "nested too deeply") from None
        except ValueError as error:
            raise ProblemError("malformed-json", fault(error), errors=where(body) or None) from None
        if PLAIN.fullmatch(body) is None:
            _check_texts(body.decode("utf-8"), self._looked_at(value))
        return value

    def _looked_at(self, value: Any) -> Any:
        """What of the body is refused as a whole for an unsafe text; each call of a list is refused by itself."""
        apart = PARTS_APART.get(getattr(self.scope.get("route"), "path", ""))
        return {k: v for k, v in value.items() if k != apart} if apart and isinstance(value, dict) else value


class StrictRoute(APIRoute):
    """A route that takes a body only as uncompressed application/json.

    One that takes nothing but a body answers without the framework's own way from a request to an answer: that asks
    for parameters, dependencies and exit stacks that no such route has, and validates answers that were validated when
    they were made, which costs several times what a light calculation does. What is refused, and how, is the same.
    """

    def __init__(self, path: str, endpoint: Callable[..., Any], **more: Any) -> None:
        super().__init__(path, endpoint, **more)
        if _short(self) is not None:
            self.app = self._answer
        self._handler = self.get_route_handler()

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request; the framework's layer for faults stands around all routes."""
        response = await self._handler(StrictRequest(scope, receive, self.body_field))
        await response(scope, receive, send)

    retires: Retirement | None = None
    slow = False
    """Whether it may take more than 5 ms."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler behind the content-type check."""
        inner = _short(self) or super().get_route_handler()
        takes_body = self.body_field is not None
        told_in = [name for name in _VARYING if any(of.alias == name.lower() for of in self.dependant.header_params)]

        async def handler(request: Request) -> Response:
            _check_query(request, self.dependant.query_params)
            if takes_body:
                _check_headers(request)
            strict = request
            if not isinstance(strict, StrictRequest):
                strict = StrictRequest(request.scope, request.receive, self.body_field)
            response = await self._here_or_there(inner, strict)
            if told_in:
                _vary(response, told_in)
            return response if takes_body else cacheable(request, response)

        return handler

    async def _here_or_there(self, inner: Handler, request: StrictRequest) -> Response:
        """The response, made by a process for slow work where there is one and it may take long."""
        if not handed.workers or self.body_field is None:
            return await _answered(inner, request)
        body = await _whole(request)
        if len(body) <= READ_AT_ONCE and not self.slow:
            return await _answered(inner, request)
        if len(body) <= SMALL and is_light(self.path):
            with briefly(), suppress(NotBriefError):
                return await _answered(inner, request)
        return await handed.answer(request, body)


_VARYING = ("Accept", "Accept-Language")
"""Headers by which one operation answers one request in several ways."""


def _vary(response: Response, headers: Sequence[str]) -> None:
    """Say which headers of a request an answer hangs on (RFC 9110, 12.5.5), or a cache would give it to everybody."""
    there = response.headers.get("vary", "").lower().split(", ")
    for name in headers:
        if name.lower() not in there:
            response.headers.add_vary_header(name)


Handler = Callable[[Request], Awaitable[Response]]
_OTHERS = (
    "path_params", "query_params", "header_params", "cookie_params", "dependencies", "http_connection_param_name",
    "request_param_name", "response_param_name", "background_tasks_param_name", "security_scopes_param_name",
)  # fmt: skip


def _short(route: APIRoute) -> Handler | None:
    """How a route answers that takes a body and nothing else; None for any other, and for one with its own limit."""
    own = route.dependant
    alone = len(own.body_params) == 1 and not any(getattr(own, name) for name in _OTHERS)
    usual = route.max_body_size is None and isinstance(route.response_class, DefaultPlaceholder)
    if not alone or not usual or route.response_field is None:
        return None
    (body,), endpoint = own.body_params, route.endpoint
    kind: Any = body.field_info.annotation
    takes, gives = TypeAdapter[Any](kind), TypeAdapter[Any](route.response_model)

    async def answer(request: Request) -> Response:
        value = await _body(request)
        try:
            given = takes.validate_python(value)
        except ValidationError as error:
            faults = [{**fault, "loc": ("body", *fault["loc"])} for fault in error.errors(include_url=False)]
            raise RequestValidationError(faults, body=value) from None
        found = await endpoint(**{body.name: given})
        return (
            found if isinstance(found, Response) else Response(gives.dump_json(found, by_alias=True), media_type=JSON)
        )

    return answer


async def _body(request: Request) -> Any:
    """What the body stands for. Problems: one that is empty, or that ended before its time."""
    if await _whole(request):
        return await request.json()
    missing = ValidationError.from_exception_data("body", [{"type": "missing", "loc": ("body",), "input": None}])
    raise RequestValidationError(missing.errors(include_url=False))


async def _whole(request: Request) -> bytes:
    try:
        return await request.body()
    except ClientDisconnect:
        raise HTTPException(400, "the body did not come whole") from None


async def _answered(inner: Handler, request: Request) -> Response:
    """The response; where it needs the lines of a mixture that nobody has traced yet, they are traced apart first.

    Where it needs a library that this process keeps out, it is made by one that has it.
    """
    while True:
        try:
            return await inner(request)
        except KeptOutError:
            return await handed.answer(request, await request.body())
        except UntracedError as mixture:
            if handed.workers:
                return await handed.answer(request, await request.body())
            await apart(on_demand.trace, mixture.components)


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
        if otel.get_current_span().is_recording():
            telemetry.name(scope["route"].path)
        await scope["route"].handle(scope, receive, send)


def cacheable(request: Request, response: Response) -> Response:
    """A catalogue answer with a validator, or 304 where the caller has it already (RFC 9110, 8.8 and 13.1.2).

    The validator is weak, since the answer may be packed or not.
    """
    tag = f'"{hashlib.sha256(response.body).hexdigest()[:32]}"'
    reach = "public" if keys.current() is None else "private"  # else a cache would answer those without a key
    headers = {"etag": f"W/{tag}", "cache-control": f"{reach}, max-age=86400"}
    known = [t.strip().removeprefix("W/") for t in request.headers.get("if-none-match", "").split(",")]
    if tag in known or known == ["*"]:
        return Response(status_code=304, headers=headers)
    response.headers.update(headers)
    return response


def _check_query(request: Request, known: Sequence[object]) -> None:
    """Parameters given twice, or where none is taken; where some are, the query's model refuses others."""
    if not request.scope["query_string"]:
        return
    names = [name for name, _ in request.query_params.multi_items()]
    twice = sorted({name for name in names if names.count(name) > 1}) if known else []
    unknown = [] if known else sorted(set(names))
    refused = [(name, "is given more than once; accepted: once") for name in twice]
    refused += [(name, "no such parameter; accepted: none, all stands in the body") for name in unknown]
    if refused:
        errors = [FieldProblem(pointer=pointer(("query", name)), detail=text) for name, text in refused[:MOST_ERRORS]]
        raise ProblemError("invalid-input", f"{len(refused)} parameter(s) cannot be used", errors=errors)


def _check_headers(request: Request) -> None:
    media = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media != JSON:
        raise ProblemError("unsupported-media-type", "send application/json", {"Accept": JSON})
    if request.headers.get("content-encoding", "identity").strip().lower() != "identity":
        raise ProblemError("unsupported-media-type", "send the body uncompressed", {"Accept-Encoding": "identity"})
