"""What is watched in the first hour after the start, with limits: the maker's where given, else the safest stated.

Sump superheat is watched on low-side shells only: in a high-side shell the oil lies in discharge gas.
Values in SI: K, Pa, fractions.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from witnessmark.calculations.metrology.limits import Limit, Ruling, Standing, judge, limit_from, read_data
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import source
from witnessmark.restart.context import Machine, tags

TWO_SIDED = ("current_deviation", "voltage_deviation")


@dataclass(frozen=True, slots=True)
class MakerBand:
    """The maker's limits for one item, SI; None where the maker gives none."""

    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class WatchItem:
    """One thing to watch; `unit` names the dimension of its reading ("observation": nothing is measured).

    low, high: the limits that count; None where no figure is known and the maker must be asked.
    """

    item: str
    title: str
    unit: str
    low: Ruling | None
    high: Ruling | None
    stop: bool
    act: str
    source: str

    @property
    def needs_maker(self) -> bool:
        """Whether there is no figure to hold a reading against."""
        return self.unit != "observation" and self.low is None and self.high is None


@cache
def data() -> dict[str, Any]:
    """The data file, sources checked; a limit must belong to an item."""
    tables = read_data(__package__, "watch_list.toml")
    for row in (*tables["items"].values(), tables["times"]):
        source(row["source"])
    for part in ("low", "high"):
        if not tables[part].keys() <= tables["items"].keys():
            raise ValueError(f"watch list: a limit in [{part}] belongs to no item")
    return tables


def items() -> tuple[str, ...]:
    """The names of all items."""
    return tuple(data()["items"])


def reading_times() -> tuple[float, ...]:
    """When to take readings, s after the start."""
    return tuple(float(t) for t in data()["times"]["at"])


def watch_list(machine: Machine, makers: Mapping[str, MakerBand] | None = None) -> tuple[WatchItem, ...]:
    """The items for this machine with the limits that count."""
    conditions = tags(machine)
    rows = data()["items"].items()
    return tuple(_item(n, row, machine, makers or {}) for n, row in rows if conditions & {*row["applies"]})


def standing(item: WatchItem, value: Measured) -> Standing | None:
    """Where a reading stands: the worse of its two sides; None where there is no figure to hold it against."""
    seen = Measured(abs(value.value), value.uncertainty) if item.item in TWO_SIDED else value
    found = {judge(seen, ruling) for ruling in (item.low, item.high) if ruling is not None}
    order: tuple[Standing, ...] = ("outside", "sources disagree", "cannot tell", "within")
    return next((s for s in order if s in found), None)


def _item(name: str, row: dict[str, Any], machine: Machine, makers: Mapping[str, MakerBand]) -> WatchItem:
    band = makers.get(name, MakerBand())
    low, high = _limit("low", name), _high(name, machine)
    return WatchItem(
        name,
        row["title"],
        row["unit"],
        _rule(low, band.low, "higher"),
        _rule(high, band.high, "lower"),
        row["stop"],
        row["act"],
        row["source"],
    )


def _high(name: str, machine: Machine) -> Limit | None:
    if name == "compression_ratio":
        row = data()["ratio"].get(machine.application)
        return limit_from(row) if row else None
    return _limit("high", name)


def _limit(part: str, name: str) -> Limit | None:
    row = data()[part].get(name)
    return limit_from(row) if row else None


def _rule(limit: Limit | None, maker: float | None, safer: Any) -> Ruling | None:
    if limit is not None:
        return limit.rule(maker)
    return None if maker is None else Ruling(maker, safer, "maker", (), maker)
