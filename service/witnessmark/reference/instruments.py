"""Default accuracies of the instruments a technician carries, for readings that came without an uncertainty."""

from __future__ import annotations

import difflib
import math
from functools import cache
from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, NonNegativeFloat, PositiveFloat, model_validator

from witnessmark import data
from witnessmark.arithmetic import Value
from witnessmark.errors import UnknownNameError
from witnessmark.reference.library import SourceId, Text

LOW_SIDE, HIGH_SIDE = "low-side-gauge", "high-side-gauge"
"""What reads the two pressures at a compressor, in every operation and in the diagnosis."""

MANIFOLD = (LOW_SIDE, HIGH_SIDE, "pressure-gauge-analogue", "pressure-gauge-digital", "pressure-transducer")
"""Gauges of a pressure that do not read in a unit of vacuum."""

Shape = Literal["limits", "normal-95", "standard"]
_DIVISOR: dict[Shape, float] = {"limits": math.sqrt(3), "normal-95": 1.959964, "standard": 1.0}


class Component(data.Row):
    """One cause of error: ± (absolute + of_reading |reading - zero| + of_span span), SI, shaped as `shape` says."""

    what: Text
    shape: Shape
    source: SourceId
    absolute: NonNegativeFloat = 0.0
    of_reading: NonNegativeFloat = 0.0
    of_span: NonNegativeFloat = 0.0
    zero: float = 0.0
    spans: tuple[PositiveFloat, ...] = ()

    @model_validator(mode="after")
    def _has_a_part(self) -> Self:
        if self.absolute + self.of_reading + self.of_span == 0 or (self.of_span > 0) != bool(self.spans):
            raise ValueError("an instrument component needs a positive part, and spans where of_span is")
        return self

    def standard_uncertainty(self, value: Value) -> Value:
        """The standard uncertainty of this component at an SI reading, or at a column of them."""
        span = self._span(value)
        limit = self.absolute + self.of_reading * abs(value - self.zero) + self.of_span * span
        return limit / _DIVISOR[self.shape]

    def _span(self, value: Value) -> Value | float:
        """The least span that holds the reading, else the widest."""
        if not self.spans:
            return 0.0
        if isinstance(value, np.ndarray):
            return np.asarray(self.spans)[np.minimum(np.searchsorted(self.spans, value), len(self.spans) - 1)]
        return next((s for s in self.spans if value <= s), self.spans[-1])


class Instrument(data.Row):
    """An instrument of unknown make; `dimension` is a key of the unit table."""

    text: Text
    dimension: Text
    component: Annotated[tuple[Component, ...], Field(min_length=1)]

    def standard_uncertainty(self, value: Value) -> Value:
        """Standard uncertainty at an SI reading or a column of them, components in quadrature.

        Source: JCGM 100:2008, 4.3.7, 5.1.2.
        """
        parts = [part.standard_uncertainty(value) for part in self.component]
        total = sum([part * part for part in parts])
        return np.asarray(np.sqrt(total)) if isinstance(total, np.ndarray) else math.sqrt(total)  # type: ignore[return-value] # as the value is


INSTRUMENTS = data.table(__package__, "instruments.toml", dict[str, Instrument])


@cache
def get(key: str) -> Instrument:
    """The instrument of that id; UnknownNameError (field `instrument`) with the near ones if there is none."""
    try:
        return INSTRUMENTS()[key]
    except KeyError:
        near = difflib.get_close_matches(key, INSTRUMENTS(), n=3)
        raise UnknownNameError("instrument", "instrument", tuple(near)) from None


def default_uncertainty(instrument: str, value: Value) -> Value:
    """Standard uncertainty, SI, of a reading `value`, SI, taken with that kind of instrument (an id of the data file).

    UnknownNameError (field `instrument`) if there is no such instrument.
    """
    return get(instrument).standard_uncertainty(value)


def reader(instrument: str, *, in_vacuum: bool) -> str:
    """What took a reading for which that instrument is the usual one: a vacuum gauge, if it stands in a unit of vacuum.

    >>> reader("low-side-gauge", in_vacuum=True), reader("barometer", in_vacuum=True)
    ('vacuum-gauge', 'barometer')
    """
    return "vacuum-gauge" if in_vacuum and instrument in MANIFOLD else instrument
