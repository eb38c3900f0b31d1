"""The charts of a report, each with its text for whoever cannot see it; none where the case has nothing to draw."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Any

from witnessmark import heavy
from witnessmark.casework.report.blocks import Picture, Point
from witnessmark.casework.report.material import Material
from witnessmark.casework.report.numbers import SIGNS, signed
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.language.catalogue import localized

MOST_BARS = 10


def evidence(material: Material) -> Picture | None:
    """Bars of what each finding does to the leading mode by itself."""
    told = material.leading_mode()
    if told is None or not told["weights"]:
        return None
    weights = told["weights"][:MOST_BARS]
    names = [material.word(_name(weight["finding"])) for weight in weights]
    mode, say = material.word(told["name"]), material.say
    number = partial(localized, material.language)
    listed = "; ".join(f"{n} {number(signed(w['alone']))}" for n, w in zip(names, weights, strict=True))
    alt, caption = say("evidence_alt", mode=mode, list=listed), say("evidence_picture", mode=mode)
    bars = [weight["alone"] for weight in weights]
    draw = partial(_bars, names, bars, say("evidence_bars"), number=number)
    return _picture(material, alt, caption, draw)


def _picture(material: Material, alt: str, caption: str, draw: Callable[..., bytes]) -> Picture:
    """The chart in the form that is written; told in words only where no picture is."""
    if material.form is None:
        return Picture(alt, caption)
    drawn = draw(form=material.form)
    return Picture(alt, caption, pixels=drawn) if material.form == "png" else Picture(alt, caption, vector=drawn)


def _bars(*words: Any, **more: Any) -> bytes:
    heavy.ask()
    from witnessmark.casework.report import pictures  # noqa: PLC0415 - where something is drawn alone

    return pictures.evidence(*words, **more)


def _curve(*words: Any, **more: Any) -> bytes:
    heavy.ask()
    from witnessmark.casework.report import pictures  # noqa: PLC0415 - as above

    return pictures.curve(*words, **more)


def _name(finding: str) -> str:
    row = knowledge().findings.get(finding)
    return finding.replace("-", " ") if row is None else row.text


def filter_drop(material: Material) -> Picture | None:
    """The drop of the suction core at full flow over time, with its limit."""
    readings = [r for r in material.of("filter_log.readings") or () if r["full_flow_drop"] is not None]
    if not readings:
        return None
    unit, first = readings[0]["full_flow_drop"]["unit"], datetime.fromisoformat(readings[0]["local"])
    drops = [_drop(reading, first) for reading in readings]
    limit = material.of("filter_log.working_limit.drop")
    say = material.say
    listed = ", ".join(f"{drop[1]:.3g}" for drop in drops)
    hours = f"{drops[-1][0]:.3g}"
    alt = say("drop_alt", unit=unit, hours=hours, list=listed, limit=material.quantity(limit, 3))
    told = material.told("filter_log.readings") or ()
    new = {place for place, reading in enumerate(told) if reading.get("new_core")}
    fresh = [k for k, reading in enumerate(readings) if reading.get("reading") in new]
    words = (say("drop_x"), say("drop_y", unit=unit))
    draw = partial(_curve, drops, words, limit=limit["value"], breaks=fresh)
    return _picture(material, alt, say("drop_picture"), draw)


def _drop(reading: Any, first: datetime) -> Point:
    """Hours since the first reading, drop, and both ends of its interval."""
    hours = (datetime.fromisoformat(reading["local"]) - first).total_seconds() / 3600
    drop = reading["full_flow_drop"]["value"]
    low, high = ((reading[end] or {"value": drop})["value"] for end in ("low", "high"))
    return hours, drop, low, high


def vacuum(material: Material) -> Picture | None:
    """The pressure after the pump was shut off, as it was read."""
    readings: list[Any] = material.told("before_start.evacuation.readings") or []
    units = {(reading["time"]["unit"], reading["pressure"]["unit"]) for reading in readings}
    if len(units) != 1 or material.of("evacuation") is None:  # units of one kind, or nothing can be drawn as read
        return None
    unit = SIGNS.get(readings[0]["pressure"]["unit"], readings[0]["pressure"]["unit"])
    minutes = [reading["time"]["value"] * _MINUTES[reading["time"]["unit"]] for reading in readings]
    pressures = [reading["pressure"]["value"] for reading in readings]
    say = material.say
    points = [(minute, pressure, pressure, pressure) for minute, pressure in zip(minutes, pressures, strict=True)]
    draw = partial(_curve, points, (say("evacuation_x"), say("evacuation_y", unit=unit)))
    first, last = (f"{pressure:.4g} {unit}" for pressure in (pressures[0], pressures[-1]))
    alt = say("evacuation_alt", unit=unit, minutes=f"{minutes[-1]:.3g}", first=first, last=last)
    return _picture(material, alt, say("evacuation_picture"), draw)


_MINUTES = {"s": 1 / 60, "min": 1.0, "h": 60.0, "d": 1440.0}
"""Minutes of each unit of time of the wire."""
