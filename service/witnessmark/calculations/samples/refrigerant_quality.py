"""Purity of a refrigerant sample: water, acidity, gas that does not condense, residue, chloride, particulates.

Limits are data (`refrigerant_quality.toml`) by family of refrigerant, each with its source. They are written for
refrigerant that is charged; of refrigerant in service they are the level at which to look for the cause, and only some
sources say when to act. SI: mass fractions in kg/kg, shares of the vapour and of the volume as fractions.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Literal, get_args

from witnessmark.calculations.metrology.limits import read_data
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.sample_limits import Level, SampleItem, SampleLimit, hold
from witnessmark.errors import InputError
from witnessmark.reference import source
from witnessmark.refrigerants.catalogue import known

Use = Literal["to be charged", "in service"]
Quantity = Literal["water", "acidity", "non_condensables", "residue_volume", "residue_mass"]
Check = Literal["chloride", "particulates"]
Outcome = Literal["pass", "fail"]
RefrigerantItem = SampleItem[Quantity]
Verdict = Literal["measured values within limits", "sample again", "do not charge", "clean or replace", "cannot tell"]

RANGES: dict[Quantity, tuple[float, float]] = {
    "water": (0.0, 0.1),
    "acidity": (0.0, 0.1),
    "non_condensables": (0.0, 1.0),
    "residue_volume": (0.0, 1.0),
    "residue_mass": (0.0, 1.0),
}
RESIDUES: tuple[Quantity, ...] = ("residue_volume", "residue_mass")
"""Two ways of stating one thing. In service the oil that travels along is residue: it is not judged then."""
OTHER = "fluorocarbon"
"""The family of every refrigerant that stands in none of the others."""
MASSES: tuple[Quantity, ...] = ("water", "acidity", "residue_mass")


@dataclass(frozen=True, slots=True)
class CheckItem:
    """A check that is passed or failed, and who asks for it."""

    check: Check
    outcome: Outcome
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class RefrigerantQuality:
    """Verdict on the sample; `missing`: what the specification asks for and nobody measured."""

    family: str
    items: tuple[RefrigerantItem, ...]
    checks: tuple[CheckItem, ...]
    not_judged: tuple[Quantity, ...]
    missing: tuple[str, ...]
    verdict: Verdict


@cache
def data() -> dict[str, Any]:
    """The data file: its words and sources checked."""
    tables = read_data(__package__, "refrigerant_quality.toml")
    for row in (*tables["limit"], *tables["check"]):
        check_row(row, tables["family"].keys())
    return tables


def check_row(row: Mapping[str, Any], families: Any) -> None:
    """ValueError for a word that no part of the code knows, KeyError for an unknown source."""
    source(row["source"])
    words = {"quantity": RANGES, "check": get_args(Check), "level": get_args(Level), "use": get_args(Use)}
    wrong = [key for key, allowed in words.items() if key in row and row[key] not in allowed]
    if wrong or not {*row.get("families", ())} <= {*families, OTHER}:
        raise ValueError(f"refrigerant limit from {row['source']}: unknown {', '.join(wrong) or 'family'}")


def family(designation: str) -> str:
    """The family whose limits apply; UnknownNameError (field "refrigerant") for a designation not in the catalogue."""
    name = known(designation)
    return next((key for key, row in data()["family"].items() if name in row["refrigerants"]), OTHER)


def limits(designation: str, use: Use, quantity: Quantity) -> tuple[SampleLimit[Quantity], ...]:
    """All limits for this refrigerant and use, SI, the strictest first.

    A limit of refrigerant that is charged is a "watch" level of refrigerant in service.
    """
    return tuple(sorted(_found(designation, use, quantity), key=lambda limit: limit.strictness))


def _found(designation: str, use: Use, quantity: Quantity) -> Iterator[SampleLimit[Quantity]]:
    kin, name = family(designation), known(designation)
    for row in data()["limit"]:
        if row["quantity"] != quantity or not (kin in row.get("families", ()) or name in row.get("refrigerants", ())):
            continue
        limit = SampleLimit(
            quantity, row["level"], _si(quantity, row["value"]), row["source"], note=row.get("note", "")
        )
        if row["use"] == use:
            yield limit
        elif use == "in service":
            yield replace(limit, level="watch", note=f"of refrigerant that is charged; {limit.note}".rstrip("; "))


def _si(quantity: Quantity, value: float) -> float:
    return value * (1e-6 if quantity in MASSES else 0.01)


def judge(
    designation: str,
    use: Use,
    readings: Mapping[Quantity, Measured],
    checks: Mapping[Check, Outcome],
    maker: Mapping[Quantity, float] | None = None,
) -> RefrigerantQuality:
    """Hold a sample against the limits. `maker`: act limits of the maker, which override all others.

    Errors: UnknownNameError (refrigerant), OutOfRangeError (the quantity's name), InputError when nothing was read.
    """
    if not readings and not checks:
        raise InputError(
            "", "nothing was measured", "water, acidity, non-condensables, residue, chloride, particulates"
        )
    _in_range(readings)
    left_out = tuple(q for q in readings if use == "in service" and q in RESIDUES)
    items = tuple(
        hold(quantity, reading, limits(designation, use, quantity), (maker or {}).get(quantity))
        for quantity, reading in readings.items()
        if quantity not in left_out
    )
    held = tuple(_checked(designation, check, outcome) for check, outcome in checks.items())
    missing = tuple(_missing(designation, use, readings, checks))
    return RefrigerantQuality(family(designation), items, held, left_out, missing, _verdict(use, items, held, missing))


def _in_range(readings: Mapping[Quantity, Measured]) -> None:
    for quantity, reading in readings.items():
        dimension = "mass_fraction" if quantity in MASSES else "number"
        within(quantity, reading, RANGES[quantity], dimension)


def _checked(designation: str, check: Check, outcome: Outcome) -> CheckItem:
    row = _check_row_of(designation, check)
    return CheckItem(check, outcome, row["source"], row["note"])


def _check_row_of(designation: str, check: Check) -> Mapping[str, Any]:
    kin = family(designation)
    rows: list[dict[str, Any]] = data()["check"]
    return next(row for row in rows if row["check"] == check and kin in row["families"])


def _missing(
    designation: str, use: Use, readings: Mapping[Quantity, Measured], checks: Mapping[Check, Outcome]
) -> Iterator[str]:
    """What a full analysis holds and this one does not; residue counts once, however it is stated."""
    for quantity in get_args(Quantity):
        if quantity not in (*readings, *RESIDUES) and limits(designation, use, quantity):
            yield quantity
    if use == "to be charged" and not {*RESIDUES} & readings.keys():
        yield "residue"
    for check in get_args(Check):
        if check not in checks and _check_row_of(designation, check).get("asked", True):
            yield check


def _verdict(
    use: Use, items: tuple[RefrigerantItem, ...], checks: tuple[CheckItem, ...], missing: tuple[str, ...]
) -> Verdict:
    standings = {item.standing for item in items}
    charged = use == "to be charged"
    if "over" in standings or any(check.outcome == "fail" for check in checks):
        return "do not charge" if charged else "clean or replace"
    if standings & {"cannot tell", "no limit known"} or (charged and missing) or not (items or checks):
        return "cannot tell"
    return "sample again" if "watch" in standings else "measured values within limits"
