"""Marks on the fields of requests and results that say how a field and its value in the core belong together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from pydantic.fields import FieldInfo

M = TypeVar("M", "Span", "From")


@dataclass(frozen=True, slots=True)
class Span:
    """A quantity of a request must lie in [low, high], SI.

    instrument: whose accuracy stands in where no uncertainty was given. sample: the figure of a sample; without an
    uncertainty it is taken as exact, and the answer says so under this name.
    """

    low: float
    high: float
    instrument: str | None = None
    sample: str | None = None


@dataclass(frozen=True, slots=True)
class From:
    """Where a field of a result is read from: a path of attributes, else its own name; and its units, SI and IP."""

    path: str = ""
    units: tuple[str, str] | None = None


def mark(field: FieldInfo, kind: type[M]) -> M | None:
    """The mark of that kind on a field, if it has one."""
    return next((entry for entry in field.metadata if isinstance(entry, kind)), None)
