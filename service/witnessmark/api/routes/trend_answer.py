"""What a log says, as it is told on the wire."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import UTC, datetime, tzinfo
from typing import Any

import numpy as np

from witnessmark import heavy
from witnessmark.api.context import RequestContext
from witnessmark.api.schemas import trend_log as wire
from witnessmark.api.schemas.diagnosis import ReportedFinding
from witnessmark.api.units import dimensions, rounded
from witnessmark.calculations.metrology.uncertainty import figure
from witnessmark.errors import InputError
from witnessmark.trend import spans
from witnessmark.trend.assess import Assessment
from witnessmark.trend.channels import Array
from witnessmark.trend.derived import NAMES
from witnessmark.trend.doubt.remarks import Remark
from witnessmark.trend.episode import Episode, Shown, View
from witnessmark.trend.log import Quality
from witnessmark.trend.rules import RULES, Dimension, EpisodeKind
from witnessmark.trend.running import shift

DIMENSIONS: dict[str, Dimension] = {
    "evaporating": "temperature",
    "condensing": "temperature",
    "ratio": "number",
    "efficiency": "number",
}
"""Of derived columns; temperature differences where they are not named."""
LOW, HIGH = 5, 95
SELDOM = 0.01
"""Share of the running rows below the air from which it is told."""
MANY_DOUBLED = 0.05
"""Share of the rows left out for their stamp from which that is told."""


def shown(context: RequestContext, body: wire.TrendLogRequest, found: Assessment, zone: tzinfo) -> wire.TrendLogAnswer:
    """The answer. Errors: InputError (want.rows) for a log that is too long to be told row by row."""
    _say(context, found)
    beside: dict[str, Any] = {
        "refrigerant": body.refrigerant,
        "verdict": found.verdict,
        "episodes": [_episode(context, e, zone) for e in found.episodes],
        "rules": [_rules(context, kind) for kind in dict.fromkeys(e.kind for e in found.episodes)],
        "remarks": [_remark(context, remark, zone) for remark in found.remarks],
        "watched": found.watched,
        "findings": [_finding(f.finding, f.state, f.reliability) for f in found.findings],
        "log_episodes": [_kept(e, zone) for e in found.episodes],
        "quality": _quality(context, found.quality, zone),
        "channels": [_channel(v, c, m) for v in found.views for c, m in v.log.missing.items()],
        "running": [_running(context, view) for view in found.views],
        "derived": [row for view in found.views for row in _summaries(context, view)],
        "series": _series(context, body, found, zone),
        "picture": _picture(context, body, found, zone),
    }
    return context.answer(wire.TrendLogAnswer, None, **beside)


def _say(context: RequestContext, found: Assessment) -> None:
    context.warn("trend-log-limits")
    context.cite("trend-estimate", "first-law")
    quality = found.quality
    if quality.spread:
        context.assume(
            f"{quality.spread} rows have the stamp of the row before: they were spread up to the next stamp."
        )
    if quality.doubled >= MANY_DOUBLED * max(quality.rows, 1):
        context.assume(f"{quality.doubled} of {quality.rows} rows have the stamp of another and were left out.")
    for remark in found.remarks:
        context.cite(remark.row.source)
    for episode in found.episodes:
        context.cite(*(rule.source for rule in RULES()[episode.kind].rules.values()))
    for view in found.views:
        _say_of(context, view)
    for channel, seconds in sorted(found.views[0].log.held.items()) if found.views else ():
        until = f", for {seconds / 60.0:.0f} min at most" if math.isfinite(seconds) else ""
        context.assume(f"{channel} is written now and then: a reading stands until the next{until}.")
    context.assume("Sensors of the plant: usual accuracies of their kinds, since none were given.")


def _say_of(context: RequestContext, view: View) -> None:
    """What told when a compressor ran, how well, and whether its suction runs below the air."""
    if (source := view.running.source) in {"current", "pressures"}:
        late = f"Each start and stop may be off by {figure(shift(view.log, view.running) / 60.0, 2)} min."
        context.assume(f"That the compressor ran was read from its {source}: no running flag was given. {late}")
    if source == "pressures":
        context.assume("A compressor that turns down far may count as standing: its pressures are all there is.")
    if _below_air(view):
        context.below_air()


def _below_air(view: View) -> bool:
    """Whether it ran with its suction below the air of the site, for more than a reading now and then."""
    if not view.has("suction_pressure") or not view.running.on.any():
        return False
    below = view.column("suction_pressure")[view.running.on] < view.plant.operating.air_pressure
    return float(below.mean()) >= SELDOM


def _finding(finding: str, state: str, reliability: float) -> ReportedFinding:
    return ReportedFinding.model_validate({"finding": finding, "state": state, "reliability": rounded(reliability)})


def _kept(found: Episode, zone: tzinfo) -> wire.LogEpisodeKept:
    start, end = (_moment(at, zone).isoformat() for at in (found.start, found.end))
    told = {"kind": found.kind, "at": start, "until": end, "severity": found.word}
    return wire.LogEpisodeKept.model_validate({**told, "certainty": round(found.certainty, 3)})


def _moment(at: float, zone: tzinfo) -> datetime:
    return datetime.fromtimestamp(round(at), UTC).astimezone(zone)


def _quality(context: RequestContext, quality: Quality, zone: tzinfo) -> wire.LogQuality:
    return context.result(
        wire.LogQuality, quality, first=_moment(quality.first, zone), last=_moment(quality.last, zone)
    )


def _channel(view: View, channel: str, missing: float) -> dict[str, Any]:
    return {"compressor": view.number, "quantity": channel, "missing": round(missing, 6)}


def _running(context: RequestContext, view: View) -> wire.RunningSummary:
    on = view.running.on
    hours = float(np.count_nonzero(on)) * view.log.quality.step
    told = {"compressor": view.number, "read_from": view.running.source, "share": float(on.mean())}
    return context.result(wire.RunningSummary, None, **told, starts=int(view.running.starts.size), hours=hours)


def _scale(context: RequestContext, dimension: Dimension) -> tuple[str, float, float]:
    """Unit of the caller's system, and factor and offset from SI."""
    if dimension == "number":
        return "1", 1.0, 0.0
    table = dimensions()[dimension]
    unit = table.units[table.shown(context.system)]
    return unit.name, 1.0 / unit.factor, unit.from_si(0.0)


def _summaries(context: RequestContext, view: View) -> Iterator[dict[str, Any]]:
    settled = view.running.settled
    for name in NAMES:
        values: Array | None = getattr(view.derived, name)
        if values is None:
            continue
        kept = values[settled & ~np.isnan(values)]
        if not kept.size:
            continue
        unit, factor, offset = _scale(context, DIMENSIONS.get(name, "temperature_difference"))
        low, median, high = (rounded(float(v) * factor + offset) for v in np.percentile(kept, [LOW, 50, HIGH]))
        told = {"compressor": view.number, "name": name, "unit": unit, "rows": int(kept.size)}
        yield {**told, "low": low, "median": median, "high": high}


def _episode(context: RequestContext, found: Episode, zone: tzinfo) -> wire.EpisodeShown:
    row = RULES()[found.kind]
    return context.result(
        wire.EpisodeShown,
        None,
        kind=found.kind,
        title=row.title,
        text=row.text,
        compressor=found.compressor,
        start=_moment(found.start, zone),
        end=_moment(found.end, zone),
        within=found.within,
        lasted=found.seconds,
        parts=found.parts,
        severity=found.word,
        severity_share=round(found.severity, 3),
        certainty=round(found.certainty, 3),
        readings=[_reading(context, reading) for reading in found.shown if math.isfinite(reading.value.value)],
        sensors=[sensor for sensor in (found.sensor, found.other) if sensor is not None],
    )


def _remark(context: RequestContext, found: Remark, zone: tzinfo) -> wire.LogRemark:
    return context.result(
        wire.LogRemark,
        found,
        text=found.row.text,
        impossible=found.row.impossible,
        start=_moment(found.start, zone),
        end=_moment(found.end, zone),
        reading=_reading(context, found.value),
        sensors=list(found.sensors),
    )


def _reading(context: RequestContext, reading: Shown) -> dict[str, Any]:
    unit, factor, offset = _scale(context, reading.dimension)
    width = reading.value.uncertainty * factor
    value = rounded(reading.value.value * factor + offset)
    return {"name": reading.name, "value": value, "unit": unit, "uncertainty": rounded(width) if width else None}


def _rules(context: RequestContext, kind: EpisodeKind) -> wire.RulesOfKind:
    rules = [context.result(wire.EpisodeRule, rule, id=name) for name, rule in RULES()[kind].rules.items()]
    return wire.RulesOfKind(kind=kind, rules=rules)


def _series(
    context: RequestContext, body: wire.TrendLogRequest, found: Assessment, zone: tzinfo
) -> list[wire.TrendSeries] | None:
    if not body.want.rows and not body.want.series:
        return None
    if body.want.rows and found.quality.kept > wire.MOST_ROWS_SHOWN:
        accepted = f"a log of up to {wire.MOST_ROWS_SHOWN} rows, or want.series"
        raise InputError("want.rows", "the log is too long to be told row by row", accepted)
    return [_steps(context, view, 0 if body.want.rows else body.want.series, zone) for view in found.views]


def _steps(context: RequestContext, view: View, steps: int, zone: tzinfo) -> wire.TrendSeries:
    """The derived columns in so many steps of time, or row by row where it is 0."""
    time = view.log.time
    edges = np.linspace(time[0], time[-1] + 1.0, steps + 1) if steps else time
    group = np.searchsorted(edges, time, side="right") - 1
    middles = (edges[:-1] + edges[1:]) / 2 if steps else time
    columns, units = {}, {}
    for name in NAMES:
        if (values := getattr(view.derived, name)) is None:
            continue
        units[name], factor, offset = _scale(context, DIMENSIONS.get(name, "temperature_difference"))
        column = np.full(middles.size, np.nan)
        running = np.where(view.running.on, values, np.nan)
        groups, medians, _ = spans.grouped(running, group, lambda part: float(np.median(part)), 1)
        column[groups] = medians * factor + offset
        columns[name] = [None if math.isnan(value) else rounded(value) for value in column.tolist()]
    times = [_moment(moment, zone) for moment in middles.tolist()]
    return wire.TrendSeries(compressor=view.number, times=times, units=units, columns=columns)


def _picture(context: RequestContext, body: wire.TrendLogRequest, found: Assessment, zone: tzinfo) -> str | None:
    if not body.want.picture:
        return None
    heavy.ask()
    from witnessmark.trend import picture  # noqa: PLC0415 - where pictures are drawn alone

    worst = max(found.views, key=lambda view: sum(e.severity for e in found.episodes if e.compressor == view.number))
    return picture.draw(worst, found.episodes, body.want.hours, zone, context.system).decode()
