"""How much pressure a suction filter-drier may take, by refrigerant, evaporating temperature and installation.

Printed tables, what is remembered of others, and the extension by equal loss of saturation temperature are all
candidates; the smallest decides, a maker's limit overrides them all. Pressures in Pa, temperatures in K (dew
temperature at the suction pressure). Data and sources: `drop_limits.toml`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from witnessmark.cleanup.tables import PSI, RANKINE, kelvin, table
from witnessmark.errors import InputError, OutOfRangeError, located
from witnessmark.refrigerants import saturation

Installation = Literal["temporary", "permanent"]
LARGEST_LIMIT = 3e5
"""No suction filter is worth more than this, Pa; a maker's limit above it is a wrong unit."""


@dataclass(frozen=True, slots=True)
class DropCandidate:
    """One limit that applies, Pa, and what it costs in saturation temperature, K."""

    drop: float
    penalty: float
    source: str
    deciding: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class DropLimit:
    """The limit, Pa; the loss of saturation temperature it stands for, K; all candidates, the smallest first.

    rise: how far the drop may rise over that of the new core, Pa, or None where a maker's limit stands alone.
    """

    drop: float
    penalty: float
    source: str
    dew_slope: float
    candidates: tuple[DropCandidate, ...]
    rise: DropCandidate
    maker_overrides: bool


def drop_limit(
    refrigerant: str, evaporating: float, installation: Installation, maker: float | None = None
) -> DropLimit:
    """The limit for this refrigerant at this evaporating (dew) temperature.

    maker: the maker's own limit, Pa. Errors: UnknownNameError (refrigerant), OutOfRangeError (evaporating_temperature,
    maker_limits.suction_drop).
    """
    candidates = tuple(sorted(_candidates(refrigerant, evaporating, installation), key=lambda c: c.drop))
    chosen = next(c for c in candidates if c.deciding)
    if maker is not None:
        chosen = _of_maker(refrigerant, evaporating, maker)
    with located(temperature="evaporating_temperature"):
        slope = float(saturation.dew_slope(refrigerant, evaporating))
    rise = _rise(refrigerant, evaporating)
    return DropLimit(chosen.drop, chosen.penalty, chosen.source, slope, candidates, rise, maker is not None)


def penalty(refrigerant: str, evaporating: float, drop: float) -> float:
    """Loss of saturation temperature, K, when the pressure falls by `drop`, Pa, from the dew pressure at `evaporating`.

    InputError (field "drop") if nothing of the pressure would be left.
    """
    with located(temperature="evaporating_temperature"):
        pressure = float(saturation.dew_pressure(refrigerant, evaporating))
    if drop >= pressure:
        raise InputError("drop", "at or above the whole suction pressure", f"below {pressure:.4g} Pa")
    with located(pressure="drop"):
        return evaporating - float(saturation.dew_temperature(refrigerant, pressure - drop))


def drop_for_penalty(refrigerant: str, evaporating: float, loss: float) -> float:
    """The drop, Pa, that costs `loss` K of saturation temperature."""
    with located(temperature="evaporating_temperature"):
        upper = float(saturation.dew_pressure(refrigerant, evaporating))
        return upper - float(saturation.dew_pressure(refrigerant, evaporating - loss))


def _candidates(refrigerant: str, evaporating: float, installation: Installation) -> Iterator[DropCandidate]:
    printed = tuple(_all_printed(refrigerant, evaporating, installation))
    yield from printed
    yield _by_penalty(refrigerant, evaporating, _allowed_loss(installation), "the usual loss of the printed limits")
    if not any(candidate.deciding for candidate in printed):
        yield from _as_references(refrigerant, evaporating, installation)


def _all_printed(refrigerant: str, evaporating: float, installation: Installation) -> Iterator[DropCandidate]:
    for row in _rows(installation):
        drop = _printed(row, refrigerant, evaporating)
        if drop is not None and _affordable(refrigerant, evaporating, drop):
            yield _candidate(refrigerant, evaporating, drop, row)


def _candidate(refrigerant: str, evaporating: float, drop: float, row: dict[str, Any]) -> DropCandidate:
    loss = penalty(refrigerant, evaporating, drop)
    return DropCandidate(drop, loss, row["source"], row["role"] == "limit", row.get("note", row.get("application", "")))


def _affordable(refrigerant: str, evaporating: float, drop: float) -> bool:
    """Whether half of the suction pressure would be left: no figure printed for another fluid means anything beyond."""
    with located(temperature="evaporating_temperature"):
        return drop < float(saturation.dew_pressure(refrigerant, evaporating)) / 2


def _rows(installation: Installation) -> Iterator[dict[str, Any]]:
    data = table("drop_limits")
    return (row for row in data["range"] + data["points"] if row["installation"] == installation)


def _printed(row: dict[str, Any], refrigerant: str, evaporating: float) -> float | None:
    """The printed limit of a row, Pa; None where the row does not cover the refrigerant or the temperature."""
    if refrigerant not in row.get("refrigerants", (refrigerant,)):
        return None
    printed = row["evaporating_F"]
    if isinstance(row["limit_psi"], list):
        if evaporating > kelvin(row["up_to_F"]):
            return None
        return float(np.interp(evaporating, [kelvin(f) for f in printed], row["limit_psi"])) * PSI
    slack = 1e-6  # a temperature typed as printed must count as inside
    return row["limit_psi"] * PSI if kelvin(printed[0]) - slack <= evaporating <= kelvin(printed[1]) + slack else None


def _allowed_loss(installation: Installation) -> float:
    return float(table("drop_limits")["equal_penalty"]["loss_F"][installation]) * RANKINE


def _by_penalty(refrigerant: str, evaporating: float, loss: float, note: str) -> DropCandidate:
    drop = drop_for_penalty(refrigerant, evaporating, loss)
    return DropCandidate(drop, loss, "cleanup-equal-penalty", deciding=True, note=note)


def _as_references(refrigerant: str, evaporating: float, installation: Installation) -> Iterator[DropCandidate]:
    """The loss that the printed limits of the reference refrigerants mean at this temperature, for any other."""
    for reference in table("drop_limits")["equal_penalty"]["references"]:
        losses = [
            penalty(reference, evaporating, drop)
            for row in _rows(installation)
            if row["role"] == "limit" and (drop := _printed(row, reference, evaporating)) is not None
        ]
        if losses:
            yield _by_penalty(refrigerant, evaporating, min(losses), f"the loss that {reference}'s printed limit means")


def _rise(refrigerant: str, evaporating: float) -> DropCandidate:
    found = [_one_rise(refrigerant, evaporating, row) for row in table("drop_limits")["rise"]]
    return min(found, key=lambda c: c.drop)


def _one_rise(refrigerant: str, evaporating: float, row: dict[str, Any]) -> DropCandidate:
    if "loss_K" in row:
        drop = drop_for_penalty(refrigerant, evaporating, row["loss_K"])
        return DropCandidate(drop, row["loss_K"], row["source"], deciding=True)
    drop = row["rise_psi"] * PSI
    loss = penalty(refrigerant, evaporating, drop) if _affordable(refrigerant, evaporating, drop) else math.inf
    return DropCandidate(drop, loss, row["source"], deciding=True, note=row["note"])


def _of_maker(refrigerant: str, evaporating: float, maker: float) -> DropCandidate:
    if not 0 < maker <= LARGEST_LIMIT:
        raise OutOfRangeError("maker_limits.suction_drop", maker, 0.0, LARGEST_LIMIT, "pressure_difference")
    with located(drop="maker_limits.suction_drop"):
        return DropCandidate(maker, penalty(refrigerant, evaporating, maker), "maker-limit", deciding=True)
