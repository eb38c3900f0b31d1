"""How much pressure a suction filter-drier may take, by refrigerant, evaporating temperature and installation.

Printed tables, what is remembered of others, and the extension by equal loss of saturation temperature are all
candidates; the smallest decides, a maker's limit overrides them all where it counts (`metrology/makers.py`). Pressures
in Pa, temperatures in K (dew temperature at the suction pressure). Data and sources: `drop_limits.toml`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import chain
from typing import Annotated, Literal, Self

import numpy as np
from pydantic import Field, model_validator
from scipy.constants import convert_temperature, degree_Fahrenheit, psi
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.makers import MakerWord, weigh
from witnessmark.cleanup.notes import Notes
from witnessmark.cleanup.rows import RISING, Figure, Positive, Sourced, complete
from witnessmark.errors import InputError, OutOfRangeError, located
from witnessmark.refrigerants import saturation

Installation = TypeAliasType("Installation", Literal["temporary", "permanent"])
"""Whether the suction core comes out again after the cleanup."""
LARGEST_LIMIT = 3e5
"""No suction filter is worth more than this, Pa; a maker's limit above it is a wrong unit."""


@cache
def _kelvin(printed: float) -> float:
    """A printed temperature, degF, in K."""
    return float(convert_temperature(printed, "F", "K"))


class PrintedLimit(Sourced):
    """A printed limit: printed temperatures in degF, limits in psi; no refrigerants: all."""

    installation: Installation
    refrigerants: frozenset[str] = frozenset()
    evaporating: Annotated[tuple[float, ...], RISING]
    role: Literal["limit", "advice"]
    application: str = ""
    note: str = ""

    @property
    def remark(self) -> str:
        """What stands beside the figure."""
        return self.note or self.application

    def covers(self, refrigerant: str, installation: Installation) -> bool:
        """Whether it was written for this refrigerant and installation."""
        return installation == self.installation and (not self.refrigerants or refrigerant in self.refrigerants)

    def kelvin(self) -> list[float]:
        """The printed temperatures, K."""
        return [_kelvin(printed) for printed in self.evaporating]


class LimitRange(PrintedLimit):
    """One limit over a range, both ends included."""

    evaporating: Annotated[tuple[float, float], RISING]
    limit: Positive

    def at(self, evaporating: float) -> float | None:
        """The limit, Pa, at a temperature, K; None outside the range."""
        low, high = self.kelvin()
        slack = 1e-6  # a temperature typed as printed must count as inside
        return self.limit * psi if low - slack <= evaporating <= high + slack else None


class LimitPoints(PrintedLimit):
    """Limits at printed temperatures: straight lines between, flat below the last and above the first up to `up_to`."""

    limit: Annotated[tuple[Positive, ...], RISING]
    up_to: float

    @model_validator(mode="after")
    def _one_limit_each(self) -> Self:
        if len(self.limit) != len(self.evaporating):
            raise ValueError("temperatures must have one limit each")
        return self

    def at(self, evaporating: float) -> float | None:
        """The limit, Pa, at a temperature, K; None above `up_to`."""
        if evaporating > _kelvin(self.up_to):
            return None
        return float(np.interp(evaporating, self.kelvin(), self.limit)) * psi


class EqualPenalty(Sourced):
    """Loss of saturation temperature, degF."""

    loss: Annotated[dict[Installation, Positive], complete(Installation)]


class Neighbours(Sourced):
    """Refrigerants whose printed limits stand in for one that no table names, and printed temperatures, degF."""

    refrigerants: Annotated[tuple[str, ...], Field(min_length=1)]
    evaporating: Annotated[tuple[float, float], RISING]

    def nearest(self, evaporating: float) -> float:
        """The printed temperature, K, nearest to this one."""
        low, high = map(_kelvin, self.evaporating)
        return min(max(evaporating, low), high)


class NotedFigure(Figure):
    """A figure with a note."""

    note: str


class DropLimitRules(data.Row):
    """The file."""

    ranges: tuple[LimitRange, ...]
    points: tuple[LimitPoints, ...]
    neighbours: Neighbours
    equal_penalty: EqualPenalty
    rise_by_loss: Figure
    rise_by_drop: NotedFigure

    def printed(
        self, refrigerant: str, evaporating: float, installation: Installation
    ) -> Iterator[tuple[LimitRange | LimitPoints, float]]:
        """Every printed limit that applies, with its value, Pa."""
        rows: Iterator[LimitRange | LimitPoints] = chain(self.ranges, self.points)
        for row in rows:
            if row.covers(refrigerant, installation) and (drop := row.at(evaporating)) is not None:
                yield row, drop


DROP_LIMITS = data.table(__package__, "drop_limits.toml", DropLimitRules)


@dataclass(frozen=True, slots=True)
class DropCandidate:
    """One limit that applies, Pa, and what it costs in saturation temperature, K (None: more than can be told).

    neighbour: the refrigerant it was printed for, where that is another.
    """

    drop: float
    penalty: float | None
    source: str
    decides: bool = True
    note: str = ""
    neighbour: str | None = None


@dataclass(frozen=True, slots=True)
class DropLimit:
    """The limit, Pa; the loss of saturation temperature it stands for, K; all candidates, the smallest first.

    rise_over_new: how far the drop may rise over that of the new core. maker: the maker's, whether it counts or not.
    """

    drop: float
    penalty: float | None
    source: str
    candidates: tuple[DropCandidate, ...]
    rise_over_new: DropCandidate
    maker_overrides: bool
    maker: MakerWord | None = None

    @property
    def remark(self) -> str:
        """What has to be said of a limit that the maker is said to set; mostly empty."""
        return self.maker.remark if self.maker else ""

    def quote(self, notes: Notes) -> None:
        """Note what it rests on: its sources, a looser maker, a printed neighbour."""
        notes.cite(*self.sources)
        notes.warn(*(self.maker.cautions if self.maker else ()))
        if any(row.neighbour and row.source == self.source and row.drop == self.drop for row in self.candidates):
            notes.assume(
                "Drop limit: no table prints this refrigerant at this temperature; its neighbour's row decides."
            )

    @property
    def sources(self) -> tuple[str, ...]:
        """Ids of all sources."""
        return (self.source, *(row.source for row in self.candidates), self.rise_over_new.source)


def drop_limit(
    refrigerant: str,
    evaporating_temperature: float,
    installation: Installation,
    maker: float | None = None,
    document: str = "",
) -> DropLimit:
    """The limit for this refrigerant at this evaporating (dew) temperature.

    maker: the maker's own limit, Pa, by this document. Errors: UnknownNameError (refrigerant), OutOfRangeError
    (evaporating_temperature, maker), InputError (maker) for one that leaves no suction pressure.

    >>> found = drop_limit("R-134a", evaporating_temperature=233.15, installation="temporary")
    >>> round(found.drop), found.source
    (5171, 'cleanup-temporary-table')
    """
    candidates = sorted(_candidates(refrigerant, evaporating_temperature, installation), key=lambda row: row.drop)
    limit = next(row for row in candidates if row.decides)
    word, rise = None, _rise(refrigerant, evaporating_temperature)
    if maker is not None:
        word = weigh(maker, document, (row.drop for row in candidates if row.decides), "lower")
        own = _of_maker(refrigerant, evaporating_temperature, maker)
        limit = own if word.counts else limit
    counts = word is not None and word.counts
    return DropLimit(limit.drop, limit.penalty, limit.source, tuple(candidates), rise, counts, word)


def penalty(refrigerant: str, evaporating_temperature: float, drop: float) -> float:
    """Loss of saturation temperature, K, when `drop`, Pa, is lost from the dew pressure at `evaporating_temperature`.

    OutOfRangeError (evaporating_temperature), InputError (drop) if nothing of the pressure would be left.

    >>> round(penalty("R-410A", evaporating_temperature=277.6, drop=20684.0), 2)
    0.74
    """
    pressure = _dew_pressure(refrigerant, evaporating_temperature)
    if drop >= pressure:
        raise InputError("drop", "at or above the whole suction pressure", f"below {pressure:.4g} Pa")
    with located(pressure="drop"):
        return evaporating_temperature - float(saturation.dew_temperature(refrigerant, pressure - drop))


def drop_for_penalty(refrigerant: str, evaporating_temperature: float, loss: float) -> float:
    """The drop, Pa, that costs `loss` K of saturation temperature; OutOfRangeError (evaporating_temperature).

    >>> round(drop_for_penalty("R-410A", evaporating_temperature=277.6, loss=1.0))
    27943
    """
    upper = _dew_pressure(refrigerant, evaporating_temperature)
    return upper - _dew_pressure(refrigerant, evaporating_temperature - loss)


def _dew_pressure(refrigerant: str, evaporating: float) -> float:
    with located(temperature="evaporating_temperature"):
        return float(saturation.dew_pressure(refrigerant, evaporating))


def _candidates(refrigerant: str, evaporating: float, installation: Installation) -> Iterator[DropCandidate]:
    rules = DROP_LIMITS()
    printed = [
        DropCandidate(drop, penalty(refrigerant, evaporating, drop), row.source, row.role == "limit", row.remark)
        for row, drop in rules.printed(refrigerant, evaporating, installation)
        if _affordable(refrigerant, evaporating, drop)
    ]
    yield from printed
    usual = rules.equal_penalty.loss[installation] * degree_Fahrenheit
    yield _by_penalty(refrigerant, evaporating, usual, "the usual loss of the printed limits")
    if not any(candidate.decides for candidate in printed):
        printed_at = rules.neighbours.nearest(evaporating)
        for neighbour in _neighbours(_dew_pressure(refrigerant, evaporating), printed_at):
            yield from _as_neighbour(refrigerant, evaporating, neighbour, printed_at, installation)


def _affordable(refrigerant: str, evaporating: float, drop: float) -> bool:
    """Whether half of the suction pressure would be left: no figure printed for another fluid means anything beyond."""
    return drop < _dew_pressure(refrigerant, evaporating) / 2


def _by_penalty(refrigerant: str, evaporating: float, loss: float, note: str) -> DropCandidate:
    drop = drop_for_penalty(refrigerant, evaporating, loss)
    return DropCandidate(drop, loss, DROP_LIMITS().equal_penalty.source, note=note)


def _neighbours(own: float, printed_at: float) -> set[str]:
    """The printed refrigerants next below and next above this dew pressure, Pa, at a printed temperature, K."""
    rising = sorted((_dew_pressure(name, printed_at), name) for name in DROP_LIMITS().neighbours.refrigerants)
    below = sum(pressure <= own for pressure, _ in rising)
    return {name for _, name in rising[max(below - 1, 0) : below + 1]}


def _as_neighbour(
    refrigerant: str, evaporating: float, neighbour: str, printed_at: float, installation: Installation
) -> Iterator[DropCandidate]:
    """The smallest printed limit of the neighbour at a printed temperature, and the loss that it means there."""
    rules = DROP_LIMITS()
    drop = min(drop for row, drop in rules.printed(neighbour, printed_at, installation) if row.role == "limit")
    loss = penalty(neighbour, printed_at, drop)
    yield _by_penalty(refrigerant, evaporating, loss, f"the loss that {neighbour}'s printed limit means")
    if _affordable(refrigerant, evaporating, drop):
        note = f"printed for {neighbour}, the neighbour by pressure; no row is printed for {refrigerant} here"
        cost = penalty(refrigerant, evaporating, drop)
        yield DropCandidate(drop, cost, rules.neighbours.source, note=note, neighbour=neighbour)


def _rise(refrigerant: str, evaporating: float) -> DropCandidate:
    by_loss = DROP_LIMITS().rise_by_loss
    drop = drop_for_penalty(refrigerant, evaporating, by_loss.value)
    rises = (DropCandidate(drop, by_loss.value, by_loss.source), _rise_by_drop(refrigerant, evaporating))
    return min(rises, key=lambda rise: rise.drop)


def _rise_by_drop(refrigerant: str, evaporating: float) -> DropCandidate:
    """The printed rise; its penalty is None where it would take more than half of the suction pressure."""
    printed = DROP_LIMITS().rise_by_drop
    drop = printed.value * psi
    affordable = _affordable(refrigerant, evaporating, drop)
    loss = penalty(refrigerant, evaporating, drop) if affordable else None
    return DropCandidate(drop, loss, printed.source, note=printed.note)


def _of_maker(refrigerant: str, evaporating: float, maker: float) -> DropCandidate:
    if not 0 < maker <= LARGEST_LIMIT:
        raise OutOfRangeError("maker", maker, 0.0, LARGEST_LIMIT, "pressure_difference")
    with located(drop="maker"):
        return DropCandidate(maker, penalty(refrigerant, evaporating, maker), "maker-limit")
