"""What a run is bounded by: the request itself (nameplates, tried switches) and the tables of this service.

Pressures in Pa absolute, drops in Pa. A figure of the request is a fact of this machine: a limit of the maker that is
looser does not count beside it. Where no nameplate was given, saturation at design temperatures stands in for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit, StatedLimit
from witnessmark.reference import SourceId
from witnessmark.refrigerants import saturation
from witnessmark.restart.context import Machine
from witnessmark.restart.design_pressure import low_critical
from witnessmark.restart.evidence import Side
from witnessmark.vocabulary import Application

SUCTION, DISCHARGE, CORE_DROP = "suction_pressure", "discharge_pressure", "core_drop"
End = Literal["low", "high"]


class Saturations(data.Row):
    """Saturation temperatures, K, above whose pressure a side does not run."""

    high: Limit
    low: Limit


class Evaporating(data.Row):
    """Dew temperature, K, at which a drop is judged where no suction pressure was read with it."""

    temperature: dict[Application, float]
    source: SourceId


class Steady(data.Row):
    """Time after the start, s, from which readings are those of steady running."""

    after: float
    source: SourceId


class Agreement(data.Row):
    """Share by which a stated figure may differ from the one that other readings give."""

    share: float
    source: SourceId


class RunTable(data.Row):
    """The data file."""

    saturation: Saturations
    evaporating: Evaporating
    steady: Steady
    agreement: Agreement


TABLE = data.table(__package__, "run_limits.toml", RunTable)


@dataclass(frozen=True, slots=True)
class RunLimits:
    """What the request says: design pressures of the nameplates, where the switches opened; None where not known.

    core_drop: what the suction core may take, Pa.
    """

    high_design: float | None = None
    low_design: float | None = None
    high_cutout: float | None = None
    low_cutout: float | None = None
    core_drop: Limit | None = None

    def limits(self, machine: Machine) -> Mapping[tuple[str, End], Limit]:
        """Limit by item and end of its band."""
        found = {
            (DISCHARGE, "high"): self._above(machine, "high"),
            (SUCTION, "high"): self._above(machine, "low"),
            (SUCTION, "low"): _of_switch("low", self.low_cutout),
            (CORE_DROP, "high"): self.core_drop,
        }
        return {key: limit for key, limit in found.items() if limit is not None}  # type: ignore[misc]

    def _above(self, machine: Machine, side: Side) -> Limit | None:
        """The lowest figure of the request decides; else what saturation at design temperatures leaves."""
        usual = tuple(_saturated(machine, side))
        most = max(usual, key=lambda stated: stated.value, default=None)
        own = [limit.stated[0] for limit in (_of_plate(self, side), self._switch(side)) if limit is not None]
        if not own:
            return _decisive("lower", usual)
        least = min(own, key=lambda stated: stated.value)
        return _decisive("lower", usual if most and most.value < least.value else (least,))

    def _switch(self, side: Side) -> Limit | None:
        return _of_switch("high", self.high_cutout) if side == "high" else None


def hottest_pressure(designation: str) -> float | None:
    """Bubble pressure at the hottest of the design temperatures, Pa absolute; None where it has none there.

    Example: R-410A at 67 degC: about 4.47 MPa. Errors: UnknownNameError (refrigerant).
    """
    if low_critical(designation):
        return None
    hottest = min(TABLE().saturation.high.rule().laxest, saturation.temperature_range(designation)[1])
    return float(saturation.bubble_pressure(designation, hottest))


def _of_plate(limits: RunLimits, side: Side) -> Limit | None:
    design = limits.high_design if side == "high" else limits.low_design
    if design is None:
        return None
    return _decisive("lower", (StatedLimit(design, "restart-run-bounds", "design pressure of the nameplate"),))


def _of_switch(side: Side, opened: float | None) -> Limit | None:
    if opened is None:
        return None
    note = f"where the {side}-pressure switch opens"
    return _decisive("lower" if side == "high" else "higher", (StatedLimit(opened, "restart-run-bounds", note),))


def _decisive(safer: Literal["lower", "higher"], stated: tuple[StatedLimit, ...]) -> Limit | None:
    """A limit beside which no looser one of the maker counts."""
    if not stated:
        return None
    values = [figure.value for figure in stated]
    return Limit(safer, stated, far=max(values) if safer == "lower" else min(values))


def _saturated(machine: Machine, side: Side) -> Iterator[StatedLimit]:
    """Bubble pressures at the design temperatures of the side; none for refrigerants of low critical temperature."""
    if machine.refrigerant is None or low_critical(machine.refrigerant):
        return
    hottest = saturation.temperature_range(machine.refrigerant)[1]
    limit: Limit = getattr(TABLE().saturation, side)
    for stated in limit.stated:
        pressure = float(saturation.bubble_pressure(machine.refrigerant, min(stated.value, hottest)))
        yield StatedLimit(pressure, stated.source, stated.note)
