"""What stands in for readings of the cycle that were not taken: reviewed data, checked when loaded."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import source


@cache
def stand_ins() -> dict[str, Measured]:
    """Usual values with wide uncertainty, by name; every row names a source."""
    tables = tomllib.loads(files(__package__).joinpath("cycle.toml").read_text("utf-8"))
    for row in tables.values():
        source(row["source"])
    return {name: Measured(row["value"], row["uncertainty"]) for name, row in tables.items()}


def stand_in(name: str) -> Measured:
    """The usual value of `superheat` or `subcooling`, K."""
    return stand_ins()[name]
