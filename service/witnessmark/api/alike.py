"""Readings taken with one instrument: what it gets wrong each time alike cancels."""

from __future__ import annotations

import math

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity
from witnessmark.calculations.metrology.uncertainty import DIGITS, Measured, figure
from witnessmark.reference import instruments


def read_alike(
    context: RequestContext, quantity: Quantity, field: str, span: tuple[float, float], instrument: str
) -> Measured:
    """As `RequestContext.read`; an uncertainty not given is only what differs from one reading to the next."""
    if quantity.uncertainty is None:
        own = quantity.scale.width_from_si(repeatability(instrument))
        context.assume(
            f"{field.split('.', maxsplit=1)[0]}: all taken with one instrument ({instrument.replace('-', ' ')}), "
            f"{figure(own, DIGITS)} {quantity.scale.width_words} left as standard uncertainty between them."
        )
        quantity = quantity.model_copy(update={"uncertainty": own})
    return context.read(quantity, field, *span, instrument)


def repeatability(instrument: str) -> float:
    """Standard uncertainty between readings of one instrument, SI: digits, contact, resolution; no share of reading."""
    parts = instruments.get(instrument).component
    return math.hypot(*(p.standard_uncertainty(p.zero) for p in parts if not p.of_span))


def shared(instrument: str) -> float:
    """Relative standard uncertainty that all readings of one instrument share (its share of reading)."""
    parts = instruments.get(instrument).component
    return math.hypot(*(p.standard_uncertainty(p.zero + 1) - p.standard_uncertainty(p.zero) for p in parts))
