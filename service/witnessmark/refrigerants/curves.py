"""The shipped saturation curves of one refrigerant, as data: see curves/*.json, made by build_curves.py."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.refrigerants.series import Series


@dataclass(frozen=True, slots=True)
class Line:
    """One side of the dome: ln(pressure/Pa) over 1/T, 1/T over ln(pressure/Pa), ln(density/(kg/m3)) over 1/T.

    partner: over 1/T, molar mass of the phase in equilibrium with this one, over the refrigerant's own.
    """

    pressure: Series
    temperature: Series
    density: Series
    partner: Series


@dataclass(frozen=True, slots=True)
class Curves:
    """Everything that was measured on the model of one refrigerant when its curves were built (SI).

    t_min, t_max: range of both lines. single_phase_temperature and single_phase_pressure: above either there is no
    two-phase region (critical point of a single substance; cricondentherm and cricondenbar of a blend).
    worst: largest measured error of each series against the model.
    """

    library: str
    molar_mass: float
    critical_temperature: float
    critical_pressure: float
    single_phase_temperature: float
    single_phase_pressure: float
    model_t_max: float
    t_min: float
    t_max: float
    bubble: Line
    dew: Line
    worst: Mapping[str, float]


def file_name(designation: str) -> str:
    """File name of a refrigerant's curves."""
    return f"{designation}.json"


@cache
def load(designation: str) -> Curves:
    """The shipped curves of a catalogued refrigerant."""
    return from_json(files(__package__).joinpath("curves", file_name(designation)).read_text("utf-8"))


def from_json(text: str) -> Curves:
    """Curves from their shipped form."""
    raw = json.loads(text)
    lines = {side: _line(raw.pop(side)) for side in ("bubble", "dew")}
    return Curves(**raw, bubble=lines["bubble"], dew=lines["dew"])


def _line(raw: Mapping[str, Any]) -> Line:
    return Line(**{name: Series(tuple(row["edges"]), tuple(map(tuple, row["pieces"]))) for name, row in raw.items()})


def to_json(curves: Curves) -> str:
    """The shipped form: one number a line would be long, so one series piece a line."""
    plain = {name: getattr(curves, name) for name in Curves.__dataclass_fields__ if name not in ("bubble", "dew")}
    rows = [f"  {json.dumps(name)}: {json.dumps(value)}" for name, value in plain.items()]
    rows += [f'  "{side}": {_line_json(getattr(curves, side))}' for side in ("bubble", "dew")]
    return "{\n" + ",\n".join(rows) + "\n}\n"


def _line_json(line: Line) -> str:
    rows = []
    for name in Line.__dataclass_fields__:
        series = getattr(line, name)
        pieces = ",\n      ".join(json.dumps(piece) for piece in series.pieces)
        rows.append(f'    "{name}": {{"edges": {json.dumps(series.edges)}, "pieces": [\n      {pieces}]}}')
    return "{\n" + ",\n".join(rows) + "\n  }"
