"""The pressure-enthalpy picture of a case: as found where the machine pumped, else as a sound one would run."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from pydantic import ValidationError

from witnessmark import heavy
from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Quantity, Temperature, TemperatureDifference
from witnessmark.api.routes.case_parts import Worked
from witnessmark.api.routes.cycle import about, solved
from witnessmark.api.schemas.case_report import ReportRequest
from witnessmark.api.schemas.cycle import CycleRequest
from witnessmark.api.schemas.field_readings import FieldReadings
from witnessmark.casework.document import Json, at
from witnessmark.casework.report.blocks import Form, Picture
from witnessmark.casework.report.texts import catalogue
from witnessmark.errors import InputError
from witnessmark.language.catalogue import Language, localized, translator
from witnessmark.refrigerants import saturation

_CYCLE = (
    "suction_pressure",
    "discharge_pressure",
    "suction_temperature",
    "discharge_temperature",
    "liquid_temperature",
)
STATED: tuple[tuple[str, str, str, int, Callable[[str, float], Any]], ...] = (
    ("suction_temperature", "suction_pressure", "suction_superheat", 1, saturation.dew_temperature),
    ("discharge_temperature", "discharge_pressure", "discharge_superheat", 1, saturation.dew_temperature),
    ("liquid_temperature", "discharge_pressure", "subcooling", -1, saturation.bubble_temperature),
)
"""What a difference that somebody worked out says: a temperature, the pressure it counts from, its name, which way."""


def diagram_of(done: Worked, body: ReportRequest, form: Form | None, language: Language) -> Picture | None:
    """The picture, in the language of the report; None where there is none to draw."""
    say, refrigerant = catalogue(language), done.view.get("refrigerant") if form is not None else None
    verdict, runs = at(done.results, "compression.verdict"), at(done.view, "now.running")
    pumped = verdict in ("pumping", "weak") or (verdict == "cannot tell" and runs is True)
    machine = done.view.get("machine", {})
    found = _found(done, body, str(refrigerant)) if pumped and refrigerant else {}
    for basis, readings in (("cycle_found", found), ("cycle_sound", _sound(machine))):
        drawn = _drawn(done, body, readings, form, language) if refrigerant and readings else None
        if drawn is not None:
            alt = say("cycle_alt", refrigerant=refrigerant, basis=say(basis))
            caption = say("cycle_caption", basis=say(basis))
            return Picture(alt, caption, pixels=drawn) if form == "png" else Picture(alt, caption, vector=drawn)
    return None


def _found(done: Worked, body: ReportRequest, refrigerant: str) -> Json:
    """What was read of the circuit, and what a stated superheat or subcooling says of a temperature not read."""
    now = done.view.get("now", {})
    found = {name: now[name] for name in _CYCLE if name in now}
    air = RequestContext(body.report_in, body.case.site).air_pressure()
    for temperature, pressure, difference, way, saturated in STATED:
        if temperature not in found and {pressure, difference} <= now.keys():
            told = FieldReadings.model_validate({pressure: now[pressure], difference: now[difference]})
            base, apart = getattr(told, pressure), getattr(told, difference)
            try:
                saturation_at = saturated(refrigerant, _size(base, air))
            except InputError:
                continue
            found[temperature] = _celsius(saturation_at + way * _size(apart, air), apart)
    return found


def _sound(machine: Mapping[str, Any]) -> Json:
    """The figures of the machine; a stated superheat counts from its evaporating temperature, a dew temperature."""
    names = ("evaporating_temperature", "condensing_temperature", "liquid_temperature")
    sound = {name: machine[name] for name in names if machine.get(name) is not None}
    if {"evaporating_temperature", "suction_superheat"} <= machine.keys():
        base = Temperature.model_validate(machine["evaporating_temperature"])
        apart = TemperatureDifference.model_validate(machine["suction_superheat"])
        sound["suction_temperature"] = _celsius(_size(base, 0.0) + _size(apart, 0.0), apart)
    return sound


def _size(told: Quantity, air: float) -> float:
    """A quantity in SI, pressures absolute."""
    return told.scale.to_si(told.value, air if told.scale.gauge else 0.0)


def _celsius(kelvin: float, told: Quantity) -> Json:
    """A temperature of the wire, as sure as the difference that was told."""
    shown: Json = {"value": kelvin - 273.15, "unit": "degC"}
    return shown if told.uncertainty is None else shown | {"uncertainty": told.scale.width_to_si(told.uncertainty)}


def _drawn(done: Worked, body: ReportRequest, readings: Json, form: Form | None, language: Language) -> bytes | None:
    """The picture; None where these readings make no cycle."""
    site = {k: v for k, v in done.view.get("site", {}).items() if k in ("altitude", "barometer")}
    fields = {"refrigerant": done.view["refrigerant"], "report_in": body.report_in, **readings}
    fields |= {k: at(done.view, f"machine.{k}") for k in ("compressor", "cooling") if at(done.view, f"machine.{k}")}
    word = translator(language)
    try:
        request = CycleRequest.model_validate(fields | ({"site": site} if site else {}))
        context = RequestContext.of(request)
        fitted = solved(context, request)
        told = about(context)
        lines = "\n".join(word(line) for line in told.description.splitlines())
        told = replace(told, description=lines, word=word, number=partial(localized, language))
        heavy.ask()
        from witnessmark.calculations.cycle import diagram  # noqa: PLC0415 - where pictures are drawn alone

        return diagram.draw(request.refrigerant, fitted, form or "svg", context.system, told)
    except (InputError, ValidationError):
        return None
