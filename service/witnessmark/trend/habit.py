"""What is usual for this machine, learnt from its own log: how hot its discharge runs for the work it does."""

from __future__ import annotations

import numpy as np

from witnessmark.trend import spans
from witnessmark.trend.channels import Array
from witnessmark.trend.episode import View

SMOOTH = 300.0
"""Seconds over which noisy columns are averaged before they are judged."""
LOWEST_RISE, HIGHEST_RISE = 1.0 / 0.92, 1.0 / 0.40
"""Rise of dry gas over the isentropic one: the bounds of what the log may tell; the lower one where it shows no dry gas
to learn from, so that a machine which always takes in liquid is not its own measure."""
DRY = 3.0
"""Superheat, K, from which suction gas counts as dry."""
BINS, LEAST_IN_BIN = 12, 60
QUANTILE = 50.0
LEAST_RISE = 5.0
"""K of isentropic rise below which a share of it says nothing."""


def smooth(view: View, name: str) -> Array | None:
    """A derived column averaged over SMOOTH, kept for the next who asks."""
    value = getattr(view.derived, name)
    if value is None:
        return None
    return view.once(name, lambda: spans.mean(np.where(view.running.on, value, np.nan), view.rows(SMOOTH)))


def deficit(view: View) -> Array | None:
    """How much colder the discharge is than dry gas would leave this machine, K; None where too few channels tell."""
    return view.once("deficit", lambda: _deficit(view))


def colder_than_dry(view: View) -> Array | None:
    """The same row by row, not averaged."""
    return view.once("colder than dry", lambda: _colder(view))


def _deficit(view: View) -> Array | None:
    colder = colder_than_dry(view)
    return None if colder is None else spans.mean(colder, view.rows(SMOOTH))


def _colder(view: View) -> Array | None:
    rise, ends = view.derived.isentropic_rise, view.derived
    if rise is None or ends.evaporating is None or not view.has("discharge_temperature"):
        return None
    warm = np.zeros_like(rise) if ends.superheat is None else np.maximum(ends.superheat, 0.0)
    actual = view.column("discharge_temperature") - ends.evaporating - warm
    expected = rise * _usual(view, rise, actual)
    return np.where(view.running.on, expected - actual, np.nan)


def _usual(view: View, rise: Array, actual: Array) -> Array:
    """The rise of dry gas over the isentropic one, by the size of that: the median of the dry, settled rows."""
    superheat = view.derived.superheat
    fine = view.running.settled & (rise > LEAST_RISE) & ~np.isnan(actual)
    if superheat is not None:
        fine &= superheat > DRY
    ratio = actual[fine] / rise[fine]
    if ratio.size < LEAST_IN_BIN:
        return np.full(rise.size, LOWEST_RISE)
    bound = by_size(rise[fine], ratio, QUANTILE)
    if bound is None:
        return np.full(rise.size, float(np.clip(np.median(ratio), LOWEST_RISE, HIGHEST_RISE)))
    centres, middles = bound
    return np.interp(np.nan_to_num(rise), centres, np.clip(middles, LOWEST_RISE, HIGHEST_RISE))


def by_size(size: Array, values: Array, percent: float, bins: int = BINS) -> tuple[Array, Array] | None:
    """A percentile of values in bins of equal numbers by size: the middles of the bins, and it; None of too few."""
    edges = np.unique(np.quantile(size, np.linspace(0, 1, bins + 1)))
    place = np.clip(np.searchsorted(edges, size, side="right") - 1, 0, max(len(edges) - 2, 0))
    groups, found, _ = spans.grouped(
        *_sorted(values, place), lambda part: float(np.percentile(part, percent)), LEAST_IN_BIN
    )
    if not groups.size:
        return None
    return (edges[groups] + edges[np.minimum(groups + 1, len(edges) - 1)]) / 2, found


def bins_of(count: int) -> int:
    """In how many bins so many values can be compared at like amounts of another: fewer of few.

    >>> bins_of(650), bins_of(30)
    (10, 1)
    """
    return min(BINS, max(1, count // LEAST_IN_BIN))


def hottest(view: View, percent: float) -> Array | None:
    """The discharge temperature, K, that this machine seldom passes at like pressures; None where too little tells."""
    rise, evaporating = view.derived.isentropic_rise, view.derived.evaporating
    if rise is None or evaporating is None:
        return None
    over = view.column("discharge_temperature") - evaporating
    fine = view.running.settled & (rise > LEAST_RISE) & ~np.isnan(over)
    if np.count_nonzero(fine) < LEAST_IN_BIN:
        return None
    bound = by_size(rise[fine], over[fine] / rise[fine], percent)
    return None if bound is None else evaporating + rise * np.interp(np.nan_to_num(rise), *bound)


def _sorted(values: Array, group: spans.Places) -> tuple[Array, spans.Places]:
    order = np.argsort(group, kind="stable")
    return values[order], group[order]
