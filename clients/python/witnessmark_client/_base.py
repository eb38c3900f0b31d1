"""How an operation is sent; what every group of operations shares."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import wraps
from typing import Any, Generic, Literal, ParamSpec, TypeVar

from witnessmark_client._protocol import Call, without_none

P = ParamSpec("P")
R = TypeVar("R")
R_co = TypeVar("R_co", covariant=True)
System = Literal["SI", "IP", "bar"]
Json = dict[str, Any]
Refrigerant = str | Json
"""A designation in any usual spelling, or a composition."""


class Base(Generic[R_co]):
    """A client says how an operation is performed and what comes back."""

    def _perform(self, call: Call) -> R_co:
        raise NotImplementedError

    def _get(self, path: str, **query: str | None) -> R_co:
        return self._perform(Call("GET", path, query=without_none(**query)))

    def _post(self, path: str, *, accept: str = "application/json", **fields: Any) -> R_co:
        return self._perform(Call("POST", path, body=without_none(**fields), accept=accept))


def posts(path: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Decorator: the arguments of the method are the fields of the request, sent to `path`; its body is never run.

    TypeError for an argument that the method does not name, or one that is missing.
    """

    def sending(method: Callable[P, R]) -> Callable[P, R]:
        signature = inspect.signature(method)

        @wraps(method)
        def send(*args: P.args, **kwargs: P.kwargs) -> R:
            fields = signature.bind(*args, **kwargs).arguments
            answer: R = fields.pop("self")._post(path, **fields)  # noqa: SLF001 - of the class that it decorates
            return answer

        return send

    return sending
