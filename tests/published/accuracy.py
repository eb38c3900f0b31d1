"""How far saturation temperatures can be trusted: `python -m tests.published.accuracy` writes docs/ACCURACY.md.

Every row of the tests' tables is held against the curves; the page shows how many there are, the worst of them, and
what the catalogue states.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.library.saturation import gap_in_kelvin, rows
from witnessmark.refrigerants import catalogue, saturation

TESTS = Path(__file__).parents[1]
PUBLISHED = TESTS / "published" / "data" / "saturation_points.csv"
EQUATIONS = TESTS / "library" / "data" / "saturated_states.csv"
REMEMBERED = TESTS / "remembered" / "data" / "saturation_points.csv"
PAGE = TESTS.parent / "docs" / "ACCURACY.md"
ICE = 273.15
HEAD = """# How far saturation temperatures can be trusted

Written by `python -m tests.published.accuracy`; a test fails where it is not up to date. Per refrigerant: the kind of
its equation of state; rows of published tables (sources in
`tests/published/data`; states of single substances in `tests/library/data`) and remembered boiling and dew
points, each with the worst difference between them and the service; the accuracy that every answer carries (about two
standard deviations, source `saturation-accuracy`); and where its curves begin and end.

A refrigerant without a published row is **unproved**: its accuracy is an estimate from its kind, from neighbours, and
from what is remembered. "Estimated pair" means that the property library has no measured interaction for a pair of its
components. Remembered values show only that nothing is grossly wrong. Differences of published rows come from both
sides: old tables rest on older equations.
"""
COLUMNS = (
    "Refrigerant", "Basis", "Published rows", "Worst, K", "Remembered rows", "Worst, K", "Stated, K", "From, °C",
    "To, °C",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Held:
    """Differences in K of one refrigerant, published and remembered."""

    published: tuple[float, ...]
    remembered: tuple[float, ...]


def worst(row: dict[str, str]) -> float:
    """The larger of the two differences."""
    return max(map(abs, gap_in_kelvin(row)))


def of_state(row: dict[str, str]) -> float:
    """The larger difference of a row of the tables of single substances, by temperature."""
    name, kelvin, pascal = row["refrigerant"], float(row["temperature_K"]), float(row["pressure_MPa"]) * 1e6
    return abs(pascal - saturation.dew_pressure(name, kelvin)) / saturation.dew_slope(name, kelvin)


def held() -> dict[str, Held]:
    """Every refrigerant of the catalogue with its differences."""
    published, remembered = defaultdict(list), defaultdict(list)
    for row in rows(PUBLISHED):
        published[row["refrigerant"]].append(worst(row))
    for row in rows(EQUATIONS):
        published[row["refrigerant"]].append(of_state(row))
    for row in rows(REMEMBERED):
        remembered[row["refrigerant"]].append(worst(row))
    return {name: Held(tuple(published[name]), tuple(remembered[name])) for name in catalogue.designations()}


def page() -> str:
    """The whole page."""
    table = held()
    blends = [name for name in table if catalogue.get(name).kind != "single"]
    proved = [name for name in blends if table[name].published]
    estimated = [name for name in blends if "estimated-mixture" in catalogue.get(name).cautions]
    counted = (
        f"{len(table)} refrigerants, {len(blends)} of them blends; {len(proved)} blends have a published row, "
        f"{len([name for name in blends if table[name].remembered])} a remembered one; {len(estimated)} rest on an "
        f"estimated pair, {len(set(estimated) - set(proved))} of these without a published row."
    )
    lines = ["| " + " | ".join(COLUMNS) + " |", "| --- | --- | --: | --: | --: | --: | --: | --: | --: |"]
    lines += ["| " + " | ".join(_cells(name, one)) + " |" for name, one in table.items()]
    return "\n".join([HEAD, counted, "", *lines]) + "\n"


def _cells(name: str, one: Held) -> Iterator[str]:
    found = catalogue.get(name)
    yield name
    yield found.basis + (", estimated pair" if "estimated-mixture" in found.cautions else "")
    for gaps in (one.published, one.remembered):
        yield str(len(gaps))
        yield f"{max(gaps):.2f}" if gaps else ""
    yield f"{found.accuracy_K:g}"
    yield f"{found.t_min - ICE:.1f}"
    yield f"{found.t_max - ICE:.1f}"


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
