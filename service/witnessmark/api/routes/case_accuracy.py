"""One uncertainty for one reading of a case: its own, else that of the one usual instrument, in every part alike."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from witnessmark.api.quantities import Quantity
from witnessmark.api.schemas.field_readings import Accepted, FieldReadings
from witnessmark.casework.cuts import CUTS
from witnessmark.casework.document import Json, at, put
from witnessmark.reference.instruments import default_uncertainty, reader

ALIKE = ("compression", "superheat", "subcooling")
"""Parts that take readings of the diagnosis and have usual instruments of their own."""


@cache
def instrument_of(name: str) -> str | None:
    """The usual instrument of a reading, an id; None where there is none."""
    marks = FieldReadings.model_fields[name].metadata if name in FieldReadings.model_fields else ()
    return next((mark.instrument for mark in marks if isinstance(mark, Accepted)), None)


def usual(name: str, value: Quantity, air: float) -> float | None:
    """Standard uncertainty of the usual instrument at this reading, in its own unit; air: local pressure, Pa."""
    instrument, scale = instrument_of(name), value.scale
    if instrument is None:
        return None
    reading = scale.to_si(value.value, air if scale.gauge else 0.0)
    width = scale.width_from_si(float(default_uncertainty(reader(instrument, in_vacuum=scale.vacuum), reading)))
    return float(f"{width:.9g}")  # it is shown in the request of a part: as many digits as answers have


def with_usual(part: str, request: Json, now: Mapping[str, Any], air: float) -> Json:
    """The request of a part, its readings as uncertain as the diagnosis takes them; what was stated stays."""
    if part not in ALIKE:
        return request
    told = FieldReadings.model_validate(now)
    for source, target in CUTS[part].moves:
        name = source.removeprefix("now.")
        sent, value = at(request, target), getattr(told, name, None)
        plain = source != name and isinstance(sent, Mapping) and sent.get("uncertainty") is None
        if plain and isinstance(value, Quantity) and (width := usual(name, value, air)) is not None:
            put(request, target, {**sent, "uncertainty": width})
    return request
