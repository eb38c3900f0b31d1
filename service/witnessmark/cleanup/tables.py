"""Reads the data files of this package; every row's source must exist."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.reference import source

PSI = 6894.757293168361
"""Pa per psi: exact by the international pound and inch (1959). Printed tables stay in the data as printed."""
RANKINE = 5 / 9
"""K per degree Fahrenheit of difference."""


@cache
def table(name: str) -> dict[str, Any]:
    """The data file `name`.toml, its sources checked; KeyError for an unknown source is a fault of the data."""
    data = tomllib.loads(files(__package__).joinpath(f"{name}.toml").read_text("utf-8"))
    check_sources(data)
    return data


def kelvin(fahrenheit: float) -> float:
    """Temperature in K of a printed temperature in degF."""
    return (fahrenheit + 459.67) * RANKINE


def check_sources(node: Any) -> None:
    """KeyError for a `source` anywhere below `node` that is not in the register."""
    if isinstance(node, dict):
        if "source" in node:
            source(node["source"])
        for child in node.values():
            check_sources(child)
    elif isinstance(node, list):
        for child in node:
            check_sources(child)
