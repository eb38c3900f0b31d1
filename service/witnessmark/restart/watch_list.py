"""What is watched in the first hour after the start, with limits: the maker's where given, else the safest stated.

Sump superheat is watched on low-side shells only: in a high-side shell the oil lies in discharge gas.
Values in SI: K, Pa, fractions.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Literal, Self

from pydantic import Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import COVERAGE, Limit, Ruling, Safer, Standing, StatedLimit, judge
from witnessmark.calculations.metrology.makers import weigh
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.reference import SourceId
from witnessmark.restart.context import Condition, Machine, conditions_of
from witnessmark.restart.machine_limits import machine_limits
from witnessmark.restart.run_limits import RunLimits
from witnessmark.vocabulary import Application

Span = tuple[float, float]
ReadingKind = TypeAliasType(
    "ReadingKind",
    Literal["pressure", "pressure_difference", "temperature", "temperature_difference", "number", "observation"],
)
"""Dimension of what is read; of an observation nothing is measured."""


class ItemRow(data.Row):
    """One thing to watch, its published limits, and what a limit of the maker may be."""

    title: str
    unit: ReadingKind
    applies: tuple[Condition, ...]
    stop: bool
    act: str
    source: SourceId
    two_sided: bool = False
    maker: Span | None = None
    judged_if_read: tuple[Condition, ...] = ()
    floor: StatedLimit | None = None
    ceiling: StatedLimit | None = None
    gross: float | None = Field(None, gt=0)
    low: Limit | None = None
    high: Limit | None = None
    high_by_application: dict[Application, Limit] = Field(default_factory=dict)

    def highest(self, application: Application) -> Limit | None:
        """The upper limit for such a machine."""
        return self.high_by_application.get(application, self.high)


class Times(data.Row):
    """When readings are taken, s after the start."""

    at: tuple[float, ...]
    source: SourceId


class GrossBasis(data.Row):
    """Where the shares of a limit come from at which a machine is stopped."""

    source: SourceId


class PressureBounds(data.Row):
    """Suction pressure below which an air-conditioning machine pumps a vacuum, Pa absolute."""

    vacuum: float
    source: SourceId


class WatchTable(data.Row):
    """The data file."""

    times: Times
    pressures: PressureBounds
    gross: GrossBasis
    spans: dict[ReadingKind, Span]
    items: dict[str, ItemRow]

    @model_validator(mode="after")
    def _spans(self) -> Self:
        if missing := {row.unit for row in self.items.values()} - self.spans.keys() - {"observation"}:
            raise ValueError(f"no span of {', '.join(sorted(missing))}")
        return self


TABLE = data.table(__package__, "watch_list.toml", WatchTable)


@dataclass(frozen=True, slots=True)
class MakerBand:
    """The maker's limits for one item, SI, and where they are stated; None where the maker gives none."""

    low: float | None = None
    high: float | None = None
    document: str = ""


@dataclass(frozen=True, slots=True)
class WatchItem:
    """One thing to watch on this machine.

    low, high: the limits that count; None where no figure is known and the maker must be asked. floor: below it the
    machine does not run or pump. ceiling: above it none runs for long, where the maker gives no limit. gross: the share
    of the laxest limit beyond which the machine is stopped, though less than that is only looked into.
    """

    item: str
    title: str
    unit: ReadingKind
    low: Ruling | None
    high: Ruling | None
    two_sided: bool
    stop: bool
    act: str
    source: str
    floor: float | None = None
    ceiling: float | None = None
    gross: float | None = None

    @property
    def needs_maker(self) -> bool:
        """Whether there is no figure to hold a reading against."""
        return self.unit != "observation" and self.low is None and self.high is None


def items() -> tuple[str, ...]:
    """The names of all items."""
    return tuple(TABLE().items)


def maker_span(item: str) -> Span:
    """What a limit of the maker may be, SI; an observation (KeyError) has none."""
    row = TABLE().items[item]
    return row.maker or TABLE().spans[row.unit]


def watch_list(
    machine: Machine,
    makers: Mapping[str, MakerBand] | None = None,
    also: Collection[str] = (),
    bounds: RunLimits | None = None,
) -> tuple[WatchItem, ...]:
    """The items for this machine with the limits that count.

    also: items that were read; those that are judged on more machines than ask for them are among the result. bounds:
    what else of the request bounds the run.
    Example: the compression ratio of an air-conditioning machine is watched up to 6, by the laxer source up to 8.
    """
    conditions, bands = conditions_of(machine), makers or {}
    own = {**machine_limits(machine), **(bounds or RunLimits()).limits(machine)}
    wanted = {n for n, row in TABLE().items.items() if conditions.intersection(row.applies)}
    wanted |= {n for n in also if conditions.intersection(TABLE().items[n].judged_if_read)}
    return tuple(
        _watched(
            name,
            row,
            _ruling(_held(own.get((name, "low")), row.low), bands.get(name, MakerBand()), "higher"),
            _ruling(
                _held(own.get((name, "high")), row.highest(machine.application)),
                bands.get(name, MakerBand()),
                "lower",
                row,
            ),
        )
        for name, row in TABLE().items.items()
        if name in wanted
    )


def _held(own: Limit | None, listed: Limit | None) -> Limit | None:
    """The machine's own limit before the list's; how far a maker's may lie beyond it, the list says."""
    if own is None or own.far is not None or listed is None or listed.far is None:
        return own or listed
    edge = max if own.safer == "lower" else min
    return replace(own, far=edge(listed.far, *(s.value for s in own.stated)))


def _watched(name: str, row: ItemRow, low: Ruling | None, high: Ruling | None) -> WatchItem:
    by_maker = high is not None and high.basis == "maker"
    return WatchItem(
        name,
        row.title,
        row.unit,
        low,
        high,
        row.two_sided,
        row.stop,
        row.act,
        row.source,
        None if row.floor is None else row.floor.value,
        None if row.ceiling is None or by_maker else row.ceiling.value,
        row.gross,
    )


def standing(item: WatchItem, value: Measured) -> Standing | None:
    """Where a reading stands: the worse of its two sides; None where there is no figure to hold it against.

    Clearly below what a running machine can show it is outside, whatever the limits are; and so it is above what any
    machine shows for long.
    """
    if _below_floor(item, value) or _above_ceiling(item, value):
        return "outside"
    size = _size(item, value)
    standings = {judge(size, ruling) for ruling in (item.low, item.high) if ruling is not None}
    order: tuple[Standing, ...] = ("outside", "sources disagree", "cannot tell", "within")
    return next((s for s in order if s in standings), None)


def stops(item: WatchItem, value: Measured) -> bool:
    """Whether a reading that stands outside stops the machine: any of an item that stops it, else a gross one.

    Gross is what lies below the floor, above the ceiling, or beyond the laxest limit by the share of the item.

    >>> from witnessmark.restart.context import Machine
    >>> machine = Machine("scroll", "fixed-speed", "three-phase", "air-conditioning", "A1")
    >>> unbalance = next(i for i in watch_list(machine) if i.item == "current_unbalance")
    >>> [stops(unbalance, Measured(share)) for share in (0.12, 0.40)]
    [False, True]
    """
    if standing(item, value) != "outside":
        return False
    return item.stop or _below_floor(item, value) or _above_ceiling(item, value) or _grossly(item, value)


def _grossly(item: WatchItem, value: Measured) -> bool:
    if item.gross is None:
        return False
    size = _size(item, value).value
    rulings = (r for r in (item.low, item.high) if r is not None)
    return any((1 if r.safer == "lower" else -1) * (size - item.gross * r.laxest) > 0 for r in rulings)


def _size(item: WatchItem, value: Measured) -> Measured:
    return Measured(abs(value.value), value.uncertainty) if item.two_sided else value


def _below_floor(item: WatchItem, value: Measured) -> bool:
    return item.floor is not None and value.value + COVERAGE * value.uncertainty < item.floor


def _above_ceiling(item: WatchItem, value: Measured) -> bool:
    return item.ceiling is not None and value.value - COVERAGE * value.uncertainty > item.ceiling


def _ruling(limit: Limit | None, band: MakerBand, safer: Safer, row: ItemRow | None = None) -> Ruling | None:
    """The limit that counts; without a published one the ceiling bounds what the maker may allow."""
    maker = band.low if safer == "higher" else band.high
    if limit is not None:
        return limit.rule(maker, band.document)
    if maker is None:
        return None
    ceiling = row.ceiling if row else None
    word = weigh(maker, band.document, [ceiling.value] if ceiling else (), safer)
    return Ruling(maker, safer, "maker", (), maker, word) if word.counts else None
