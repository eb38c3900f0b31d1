"""The rows of knowledge/numbers.toml: what each table may hold, and what it must not name."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Literal

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE
from witnessmark.reference import SourceId


class BandRow(Row):
    """The state of a finding for values of `start` to `to`, SI."""

    finding: str
    state: ReportState
    start: float = -math.inf
    to: float = math.inf


class QuantityRow(Row):
    """What a number may be a reading of; the keys are told at the head of the file."""

    id: str
    dimension: str
    bare: tuple[str, ...] = ()
    field: str = ""
    beside: str = ""
    three: str = ""
    pair: tuple[str, ...] = ()
    judged_by: str = ""
    also_by: str = ""
    share_by: str = ""
    fine_for: tuple[str, ...] | None = None
    bands: tuple[BandRow, ...] = ()
    share_bands: tuple[BandRow, ...] = ()
    off_bands: tuple[BandRow, ...] = ()
    limit: Literal["", "low", "high"] = ""
    prefers: tuple[str, ...] = ()
    least: float = -math.inf
    most: float = math.inf
    split: float | None = None
    usual: float | None = None
    usual_from: float = -math.inf
    usual_to: float = math.inf


class LabelRow(Row):
    """Words that name quantities; touching: only directly before a number; with_unit: only for one with unit."""

    quantities: tuple[str, ...]
    words: tuple[str, ...]
    touching: bool = False
    with_unit: bool = False


class UnitRow(Row):
    """A unit: SI value = number * factor + offset. open: the units that it may be, where the word leaves that open."""

    name: str
    dimension: str
    words: tuple[str, ...]
    factor: float = 1.0
    offset: float = 0.0
    system: Literal["", "metric", "imperial"] = ""
    glued: tuple[str, ...] = ()
    open: tuple[str, ...] = ()
    smaller: tuple[str, ...] = ()
    least: float = -math.inf
    most: float = math.inf


class TagRow(Row):
    """Three places of a measurement, each with its words."""

    set: str
    places: tuple[tuple[str, ...], ...]


class NumberWords(Row):
    """The whole file."""

    source: SourceId
    reviewed: str
    quantity: tuple[QuantityRow, ...]
    label: tuple[LabelRow, ...]
    unit: tuple[UnitRow, ...]
    words: dict[str, tuple[str, ...]]
    tag: tuple[TagRow, ...]


NUMBERS = data.table(PACKAGE, f"{FOLDER}/numbers.toml", NumberWords)


def dangling(file: NumberWords, findings: Iterable[str], readings: Iterable[str]) -> Iterator[str]:
    """What the rows name that there is not."""
    quantities, units = {row.id for row in file.quantity}, {row.name for row in file.unit}
    known_findings, known_readings = set(findings), set(readings)
    for row in file.quantity:
        bands = (*row.bands, *row.share_bands, *row.off_bands)
        yield from (
            f"numbers.toml: {row.id}: unknown finding {b.finding}" for b in bands if b.finding not in known_findings
        )
        by = {row.judged_by, row.also_by, row.share_by} - {""}
        yield from (f"numbers.toml: {row.id}: unknown reading {name}" for name in sorted(by - known_readings))
        yield from (
            f"numbers.toml: {row.id}: unknown unit {name}" for name in row.bare if name.removeprefix("~") not in units
        )
        others = {row.three, *row.pair} - {""}
        yield from (f"numbers.toml: {row.id}: unknown quantity {name}" for name in sorted(others - quantities))
    for label in file.label:
        yield from (
            f"numbers.toml: label: unknown quantity {name}" for name in label.quantities if name not in quantities
        )
    for unit in file.unit:
        named = (*unit.open, *unit.smaller)
        yield from (f"numbers.toml: {unit.name}: unknown unit {name}" for name in named if name not in units)
