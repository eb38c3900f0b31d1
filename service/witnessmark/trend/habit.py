"""What is usual for this machine, learnt from its own log: how hot its discharge runs for the work it does."""

from __future__ import annotations

import numpy as np

from witnessmark.trend import spans
from witnessmark.trend.channels import Array
from witnessmark.trend.episode import View

SMOOTH = 300.0
"""Seconds over which noisy columns are averaged before they are judged."""
USUAL_RISE, LOWEST_RISE, HIGHEST_RISE = 1.0, 1.0 / 0.92, 1.0 / 0.40
"""Rise of dry gas over the isentropic one: the least there can be, where the log shows no dry gas to learn from, and
the bounds of what it may tell."""
DRY = 3.0
"""Superheat, K, from which suction gas counts as dry."""
BINS, LEAST_IN_BIN = 12, 60
QUANTILE = 50.0


def smooth(view: View, name: str) -> Array | None:
    """A derived column averaged over SMOOTH, kept for the next who asks."""
    value = getattr(view.derived, name)
    if value is None:
        return None
    if name not in view.kept:
        view.kept[name] = spans.mean(np.where(view.running.on, value, np.nan), view.rows(SMOOTH))
    return view.kept[name]


def deficit(view: View) -> Array | None:
    """How much colder the discharge is than dry gas would leave this machine, K; None where too few channels tell."""
    if "deficit" in view.kept:
        return view.kept["deficit"]
    rise, ends = view.derived.isentropic_rise, view.derived
    if rise is None or ends.evaporating is None or not view.has("discharge_temperature"):
        return None
    warm = np.zeros_like(rise) if ends.superheat is None else np.maximum(ends.superheat, 0.0)
    actual = view.column("discharge_temperature") - ends.evaporating - warm
    expected = rise * _usual(view, rise, actual)
    value = spans.mean(np.where(view.running.on, expected - actual, np.nan), view.rows(SMOOTH))
    view.kept["deficit"] = value
    return value


def _usual(view: View, rise: Array, actual: Array) -> Array:
    """The rise of dry gas over the isentropic one, by the size of that: the median of the dry, settled rows."""
    superheat = view.derived.superheat
    fine = view.running.settled & (rise > 5.0) & ~np.isnan(actual)  # noqa: PLR2004
    if superheat is not None:
        fine &= superheat > DRY
    ratio = actual[fine] / rise[fine]
    if ratio.size < LEAST_IN_BIN:
        return np.full(rise.size, USUAL_RISE)
    edges = np.unique(np.quantile(rise[fine], np.linspace(0, 1, BINS + 1)))
    place = np.clip(np.searchsorted(edges, rise[fine], side="right") - 1, 0, max(len(edges) - 2, 0))
    groups, middles, _ = spans.grouped(
        *_sorted(ratio, place), lambda part: float(np.percentile(part, QUANTILE)), LEAST_IN_BIN
    )
    if not groups.size:
        return np.full(rise.size, float(np.clip(np.median(ratio), LOWEST_RISE, HIGHEST_RISE)))
    centres = (edges[groups] + edges[np.minimum(groups + 1, len(edges) - 1)]) / 2
    return np.interp(np.nan_to_num(rise), centres, np.clip(middles, LOWEST_RISE, HIGHEST_RISE))


def _sorted(values: Array, group: spans.Places) -> tuple[Array, spans.Places]:
    order = np.argsort(group, kind="stable")
    return values[order], group[order]
