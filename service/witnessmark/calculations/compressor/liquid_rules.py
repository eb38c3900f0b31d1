"""Estimates behind the liquid model and the words of its verdicts: reviewed data (liquid_ingestion.toml)."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import source


@cache
def data() -> dict[str, Any]:
    """The tables of liquid_ingestion.toml; every table names a source that exists."""
    tables = tomllib.loads(files(__package__).joinpath("liquid_ingestion.toml").read_text("utf-8"))
    for table in tables.values():
        source(table["source"])
    return tables


def estimated(table: str, key: str) -> Measured:
    """A value of the data file with its standard uncertainty."""
    value, uncertainty = data()[table][key]
    return Measured(value, uncertainty)


def response_time(protector: str) -> float:
    """How long a protector (`thermal` or `electronic`) takes to act, s."""
    return float(data()["protection"][protector])


def words(key: str) -> str:
    """The text of this id."""
    return str(data()["words"][key])
