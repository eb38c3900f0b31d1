"""Why the saturation curves of a refrigerant end where they do, in words."""

from __future__ import annotations

from witnessmark.refrigerants import catalogue, lines, saturation

LOWEST_PRESSURE, NEARLY = 1e3, 1.01  # Pa, and how far above it still counts as there
USUAL_GAP = 0.6  # K below critical


def coldest(designation: str) -> str:
    """Of the cold end.

    >>> coldest("R-744"), coldest("R-134a")
    ('its triple point: colder there is no liquid', 'the pressure is down to 1 kPa, or the temperature to 200 K')
    """
    row = catalogue.recipe(designation)
    if row.why_coldest:
        return row.why_coldest
    if saturation.curve(designation, "bubble").p_min <= NEARLY * LOWEST_PRESSURE:
        return "the pressure is down to 1 kPa, or the temperature to 200 K"
    if row.equation_begins:
        return "its equation of state begins here, though the liquid goes on to colder temperatures"
    if row.kind == "single":
        return "its triple point: colder there is no liquid"
    return "colder its liquid may freeze: the mean of the triple points of its components, by moles"


def hottest(designation: str) -> str:
    """Of the hot end.

    >>> hottest("R-410A")
    'the critical point: nearer than this liquid and vapour hardly differ'
    """
    row, measured = catalogue.recipe(designation), lines.load(designation)
    if row.why_hottest and measured.critical_temperature - measured.t_max > USUAL_GAP:
        return row.why_hottest
    return "the critical point: nearer than this liquid and vapour hardly differ"
