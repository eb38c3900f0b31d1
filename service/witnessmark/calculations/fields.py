"""Name the request's field in an input error that a lower layer raised under its own argument name."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from witnessmark.errors import InputError


@contextmanager
def naming(**fields: str) -> Iterator[None]:
    """Within this block an InputError about argument `a` is about the field `fields["a"]` instead.

    Example: `with naming(pressure="suction_pressure"): dew_temperature(designation, pressure)`.
    """
    try:
        yield
    except InputError as error:
        error.field = fields.get(error.field, error.field)
        raise
