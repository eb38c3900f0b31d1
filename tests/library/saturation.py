"""Rows of saturation tables, and how far ours lie from them."""

from __future__ import annotations

import csv
from pathlib import Path

from witnessmark.refrigerants import saturation

ICE = 273.15


def rows(path: Path) -> list[dict[str, str]]:
    """The rows of a table."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def label(row: dict[str, str]) -> str:
    """What a row is called in a report."""
    return "-".join([*list(row.values())[:3], row.get("pressure_kPa", "")])


def last_digit(text: str) -> float:
    """One unit of the last printed digit."""
    return float(10.0 ** -len(text.partition(".")[2]))


def gap_in_kelvin(row: dict[str, str]) -> tuple[float, float]:
    """Ours minus theirs, from the temperature and from the pressure of a row."""
    name, temperature, pressure = (
        row["refrigerant"],
        float(row["temperature_C"]) + ICE,
        float(row["pressure_kPa"]) * 1e3,
    )
    if row["side"] == "bubble":
        ours, slope = saturation.bubble_pressure(name, temperature), saturation.bubble_slope(name, temperature)
        return (pressure - ours) / slope, saturation.bubble_temperature(name, pressure) - temperature
    ours, slope = saturation.dew_pressure(name, temperature), saturation.dew_slope(name, temperature)
    return (pressure - ours) / slope, saturation.dew_temperature(name, pressure) - temperature
