"""Who calls: known to the layers below without being handed from function to function."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass, field

from starlette.types import Receive, Scope


class GoneError(BaseException):
    """The caller closed the connection. No Exception: nothing in between may make an answer of it."""


@dataclass(slots=True)
class Caller:
    """One request. name: address of the caller, or the name of its key; waited: s that its slow work waited in line.

    pays: told the seconds of slow work that were done for the caller.
    """

    scope: Scope = field(default_factory=dict)
    receive: Receive | None = None
    name: str = ""
    admitted: bool = False
    waited: float = 0.0
    pays: Callable[[float], None] | None = None

    @property
    def route(self) -> str | None:
        """The template of the address, once it was found."""
        path: str | None = getattr(self.scope.get("route"), "path", None)
        return path

    @property
    def path(self) -> str:
        """The address, without the folder that a proxy put the service in."""
        path: str = self.scope["path"]
        folder: str = self.scope.get("root_path", "")
        return path.removeprefix(folder) if path.startswith(folder + "/") else path

    async def gone(self) -> None:
        """Return once the caller closed the connection, else never; to be asked only after the whole body came."""
        if self.receive is None:
            await asyncio.get_running_loop().create_future()
        else:
            while (await self.receive())["type"] != "http.disconnect":
                pass


nobody = Caller()
calling: ContextVar[Caller] = ContextVar("calling", default=nobody)
