"""A string that must be one of a list that data files hold: shown in the schema, near names when it is not on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import AfterValidator, GetJsonSchemaHandler, StringConstraints
from pydantic_core import CoreSchema, PydanticCustomError

from witnessmark.api.problems import near

LONGEST = 80


@dataclass(frozen=True, slots=True)
class Listed:
    """Shows the list in the schema."""

    names: Callable[[], tuple[str, ...]]

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {**handler(core), "enum": list(self.names())}

    @staticmethod
    def field(kind: str, names: Callable[[], tuple[str, ...]], hint: str = "") -> tuple[Any, ...]:
        """Metadata for `Annotated[str, *Listed.field(…)]`: `kind` and `hint` are used in the fault's words."""

        def check(name: str) -> str:
            if name not in names():
                close = near(name, names())
                choice = "near: " + ", ".join(close) if close else hint or "one of: " + ", ".join(names()[:20])
                raise PydanticCustomError("unknown_name", "no such {kind}; {choice}", {"kind": kind, "choice": choice})
            return name

        return (StringConstraints(max_length=LONGEST), AfterValidator(check), Listed(names))
