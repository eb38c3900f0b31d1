"""Default accuracies of the instruments a technician carries, for readings that came without an uncertainty."""

from __future__ import annotations

import difflib
import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, get_args

from witnessmark.errors import UnknownNameError
from witnessmark.reference.library import source as source_of

Shape = Literal["limits", "normal-95", "standard"]
_DIVISOR: dict[Shape, float] = {"limits": math.sqrt(3), "normal-95": 1.959964, "standard": 1.0}


@dataclass(frozen=True, slots=True)
class Component:
    """One cause of error: ± (absolute + of_reading |reading - zero| + of_span span), SI, shaped as `shape` says."""

    what: str
    shape: Shape
    source: str
    absolute: float = 0.0
    of_reading: float = 0.0
    of_span: float = 0.0
    zero: float = 0.0
    spans: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        shares = (self.absolute, self.of_reading, self.of_span)
        if self.shape not in get_args(Shape) or not self.what:
            raise ValueError(f"instrument component {self.what!r}: needs a text and a shape of {get_args(Shape)}")
        if min(shares) < 0 or max(shares) == 0 or (self.of_span > 0) != bool(self.spans):
            raise ValueError(f"instrument component {self.what!r}: needs a positive part, and spans where of_span is")
        source_of(self.source)

    def standard_uncertainty(self, value: float) -> float:
        """The standard uncertainty of this component at an SI reading."""
        span = next((s for s in self.spans if value <= s), self.spans[-1]) if self.spans else 0.0
        limit = self.absolute + self.of_reading * abs(value - self.zero) + self.of_span * span
        return limit / _DIVISOR[self.shape]


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument of unknown make; `dimension` is a key of the unit table."""

    id: str
    text: str
    dimension: str
    components: tuple[Component, ...]

    def __post_init__(self) -> None:
        if not (self.text and self.dimension and self.components):
            raise ValueError(f"instrument {self.id}: needs a text, a dimension and a component")

    @property
    def sources(self) -> tuple[str, ...]:
        """Source ids, each once."""
        return tuple(dict.fromkeys(part.source for part in self.components))

    def standard_uncertainty(self, value: float) -> float:
        """Standard uncertainty at an SI reading, components in quadrature. Source: JCGM 100:2008, 4.3.7, 5.1.2."""
        return math.hypot(*(part.standard_uncertainty(value) for part in self.components))


def build(key: str, table: dict[str, Any]) -> Instrument:
    """The instrument that a table of the data file describes; ValueError or TypeError where it describes none."""
    parts = [{**row, "spans": tuple(row.get("spans", ()))} for row in table.get("component", ())]
    components = tuple(Component(**row) for row in parts)
    return Instrument(key, table.get("text", ""), table.get("dimension", ""), components)


@cache
def instruments() -> dict[str, Instrument]:
    """All instruments by id."""
    tables = tomllib.loads(files(__package__).joinpath("instruments.toml").read_text("utf-8"))
    return {key: build(key, table) for key, table in tables.items()}


def get(key: str) -> Instrument:
    """The instrument of that id; UnknownNameError (field `instrument`) with the near ones if there is none."""
    found = instruments().get(key)
    if found is None:
        near = difflib.get_close_matches(key, instruments(), n=3)
        raise UnknownNameError("instrument", "instrument", tuple(near))
    return found


def default_uncertainty(instrument: str, value: float) -> float:
    """Standard uncertainty, SI, of a reading `value`, SI, taken with that kind of instrument (an id of the data file).

    UnknownNameError (field `instrument`) if there is no such instrument.
    """
    return get(instrument).standard_uncertainty(value)
