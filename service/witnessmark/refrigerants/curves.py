"""The shipped saturation curves of one refrigerant, as data: see curves/*.json, made by build_curves.py."""

from __future__ import annotations

import json

from witnessmark import data
from witnessmark.refrigerants.series import Series


class Line(data.Row):
    """One side of the dome: ln(pressure/Pa) over 1/T, 1/T over ln(pressure/Pa), ln(density/(kg/m3)) over 1/T.

    partner: over 1/T, molar mass of the phase in equilibrium with this one, over the refrigerant's own.
    """

    pressure: Series
    temperature: Series
    density: Series
    partner: Series


class Curves(data.Row):
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
    worst: dict[str, float]
    bubble: Line
    dew: Line


CURVES = data.tables(__package__, "curves", Curves)


def file_name(designation: str) -> str:
    """File name of a refrigerant's curves."""
    return f"{designation}.json"


def load(designation: str) -> Curves:
    """The shipped curves of a catalogued refrigerant."""
    return CURVES[designation]()


def from_json(text: str) -> Curves:
    """Curves from their shipped form."""
    return Curves.model_validate_json(text)


def to_json(curves: Curves) -> str:
    """The shipped form: one number a line would be long, so one series piece a line."""
    plain = curves.model_dump(exclude={"bubble", "dew"})
    rows = [f"  {json.dumps(name)}: {json.dumps(value)}" for name, value in plain.items()]
    rows += [f'  "{side}": {_line_json(getattr(curves, side))}' for side in ("bubble", "dew")]
    return "{\n" + ",\n".join(rows) + "\n}\n"


def _line_json(line: Line) -> str:
    rows = []
    for name in Line.model_fields:
        series = getattr(line, name)
        pieces = ",\n      ".join(json.dumps(piece) for piece in series.pieces)
        rows.append(f'    "{name}": {{"edges": {json.dumps(series.edges)}, "pieces": [\n      {pieces}]}}')
    return "{\n" + ",\n".join(rows) + "\n  }"
