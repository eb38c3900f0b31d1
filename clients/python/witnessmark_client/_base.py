"""How an operation is sent; what every group of operations shares."""

from __future__ import annotations

from typing import Any, Generic, Literal, TypeVar

from witnessmark_client._protocol import Call, given

R_co = TypeVar("R_co", covariant=True)
System = Literal["SI", "IP"]
Json = dict[str, Any]


class Base(Generic[R_co]):
    """A client says how an operation is performed and what comes back."""

    def _perform(self, call: Call) -> R_co:
        raise NotImplementedError

    def _get(self, path: str, **query: str | None) -> R_co:
        return self._perform(Call("GET", path, query=given(**query)))

    def _post(self, path: str, *, accept: str = "application/json", **fields: Any) -> R_co:
        return self._perform(Call("POST", path, body=given(**fields), accept=accept))


def fields(arguments: dict[str, Any]) -> dict[str, Any]:
    """The keyword arguments of a method, without itself."""
    return {name: value for name, value in arguments.items() if name != "self"}
