"""Checks of the data files of this package: what a reviewer could mistype is refused at the start, not at a request."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, get_args

from witnessmark.cleanup.components import Action, Plant
from witnessmark.cleanup.drop_limits import Installation
from witnessmark.cleanup.instructions import When
from witnessmark.cleanup.lodging import Held, LineKind
from witnessmark.cleanup.tables import table
from witnessmark.reference import caution

Table = dict[str, Any]
GRADES = {0, 1, 2, 3}


def check_data() -> None:
    """Load every file and check it; ValueError names the file and the row, KeyError an unknown source or caution."""
    for name, faults in CHECKS.items():
        refuse(name, faults(table(name)))


def refuse(name: str, faults: Iterator[str]) -> None:
    """ValueError with the first fault of a file, if there is one."""
    for fault in faults:
        raise ValueError(f"{name}.toml: {fault}")


def drop_limits(data: Table) -> Iterator[str]:
    """Faults of the drop limits."""
    for row in data["range"] + data["points"]:
        printed = row["evaporating_F"]
        limits = row["limit_psi"] if isinstance(row["limit_psi"], list) else [row["limit_psi"]] * len(printed)
        if row["installation"] not in get_args(Installation) or row["role"] not in {"limit", "advice"}:
            yield f"unknown installation or role in {row}"
        if sorted(printed) != printed or len(set(printed)) != len(printed) or len(limits) != len(printed):
            yield f"temperatures must rise and have one limit each: {row}"
        if min(limits) <= 0 or sorted(limits) != limits:
            yield f"limits must be positive and grow with temperature: {row}"


def severity(data: Table) -> Iterator[str]:
    """Faults of the score."""
    if len(data["grade"]) != len(GRADES) or sorted(data["thresholds"]) != data["thresholds"]:
        yield "four grades and rising thresholds are needed"
    yield from (f"{key}: points or floor" for key, row in data["item"].items() if not _scored(row))


def _scored(row: Table) -> bool:
    return row["points"] >= 0 and row["floor"] in GRADES


def intervals(data: Table) -> Iterator[str]:
    """Faults of the check times."""
    yield from (f"{row['id']}: hours" for row in data["check"] if row["hours"] < 0)
    yield from (f"{row['id']}: grades" for row in data["check"] if not set(row["grades"]) <= GRADES)
    yield from _twice(row["id"] for row in data["check"])


def steps(data: Table) -> Iterator[str]:
    """Faults of the steps."""
    for row in data["step"]:
        _ = [caution(key) for key in row["cautions"]]
        if not set(row["grades"]) <= GRADES or row.get("when", "before") not in get_args(When):
            yield f"{row['id']}: grades or when"
    yield from _twice(row["id"] for row in data["step"])


def components(data: Table) -> Iterator[str]:
    """Faults of the parts."""
    for key, row in data["part"].items():
        if len(row["actions"]) != len(GRADES) or not {*row["actions"], row["solids"]} <= set(get_args(Action)):
            yield f"{key}: actions"
    if set(data["plants"]) != set(get_args(Plant)):
        yield "a list of parts for every kind of plant"


def sizing(data: Table) -> Iterator[str]:
    """Faults of the sizing figures."""
    exponent = data["flow_exponent"]
    if not 1 <= exponent["low"] < exponent["high"] <= 2:  # noqa: PLR2004 - laminar to orifice
        yield "flow_exponent: 1 <= low < high <= 2"
    shares = ("start_share", "usable_capacity")
    yield from (f"{key}: a share" for key in shares if not 0 < data[key]["value"] <= 1)


def log(data: Table) -> Iterator[str]:
    """Faults of the figures for judging a log."""
    shares = (data["flow"]["least_share"], data["fall"]["least_share"], data["flat"]["share_per_day"])
    if not all(0 < share < 1 for share in shares):
        yield "shares lie between 0 and 1"
    if not 0 < data["next"]["shortest_h"] < data["next"]["longest_h"]:
        yield "next: shortest_h < longest_h"


def debris(data: Table) -> Iterator[str]:
    """Faults of the places where fragments lodge."""
    for key, row in data["place"].items():
        if row["line"] not in get_args(LineKind) or min(row.get("bore", 1), row.get("opening", 1)) <= 0:
            yield f"{key}: line, bore or opening"
    if not set(get_args(Held)) <= set(data["stay"]) or set(data["paths"]) != set(get_args(Plant)):
        yield "stay needs every way of being held, paths every kind of plant"


def _twice(ids: Iterator[str]) -> Iterator[str]:
    seen: set[str] = set()
    for key in ids:
        if key in seen:
            yield f"{key} stands twice"
        seen.add(key)


CHECKS: dict[str, Callable[[Table], Iterator[str]]] = {
    "drop_limits": drop_limits,
    "severity": severity,
    "intervals": intervals,
    "steps": steps,
    "components": components,
    "sizing": sizing,
    "log": log,
    "debris": debris,
}
