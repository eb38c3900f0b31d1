"""POST /v1/refrigerants/fractionation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.reading_ranges import PIPE, TEMPERATURES
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.fractionation import FractionationAnswer, FractionationRequest
from witnessmark.calculations.circuit import fractionation as core
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import catalogue

router = version_one("calculations")
USUAL_LIQUID_SHARE = 0.5


@calculation(router, "/refrigerants/fractionation", "What a leak, and topping up, do to a blend")
def fractionation(body: FractionationRequest) -> FractionationAnswer:
    """Follow a leak of vapour or liquid from a standing circuit: composition, pressure and glide of what is left.

    The charge that is left, and the one topped up with the blend, can be sent on as the refrigerant of any request.
    """
    context = RequestContext.of(body)
    context.cite("coolprop", "rayleigh-leak", "mixture-on-demand", "ashrae-34")
    context.warn("licensed", "find-the-leak-first", "unclassed-mixture", *catalogue.get(body.refrigerant).cautions)
    temperature = context.read(body.temperature, "temperature", *TEMPERATURES, PIPE)
    share = body.liquid_share or USUAL_LIQUID_SHARE
    if body.liquid_share is None:
        context.assume(f"liquid_share: at first liquid fills {USUAL_LIQUID_SHARE:g} of the inner volume.")
    context.assume("The circuit stands still at one temperature; a running one changes less as a rule.")
    leak = core.Leak(body.phase, temperature.value, body.removed, share)
    until = core.deadline()
    found = core.fractionation(body.refrigerant, leak, until)
    shown = {name: _charge(getattr(found, name), temperature.uncertainty) for name in ("before", "left", "topped_up")}
    compared = Measured(found.pressure, found.pressure * core.pressure_width(body.refrigerant, temperature))
    safety = catalogue.recipe(found.before.text).safety_class
    if not safety.endswith("1"):
        context.warn("flammable-refrigerant")
    formulated = catalogue.standard_class(body.refrigerant)
    context.assume(_of_class(body.refrigerant, formulated, safety))
    widths = core.pressure_widths(body.refrigerant, leak, temperature.uncertainty, found.steps, until)
    steps = [_step(step, width) for step, width in zip(found.steps, widths, strict=True)]
    return context.answer(
        FractionationAnswer,
        found,
        refrigerant=body.refrigerant,
        steps=steps,
        compared_at=compared,
        safety_class=safety,
        class_as_formulated=formulated,
        **shown,
    )


def _of_class(designation: str, formulated: str | None, worst: str) -> str:
    """What the two classes are worth."""
    changed = (
        "What is left after a leak or a top-up has no class of its own; "
        f"it is treated as {worst}, by its worst component."
    )
    if formulated is None:
        return f"safety_class: {designation} has no class of the standard. {changed}"
    return f"safety_class: {designation} as formulated is {formulated}, by its worst case of fractionation. {changed}"


def _step(step: core.Step, width: float) -> dict[str, Any]:
    """One step; its pressure is as uncertain as the temperature makes it."""
    pressure = Measured(step.pressure, step.pressure * width)
    return _listed(asdict(step), "composition", "leaving") | {"pressure": pressure}


def _charge(charge: core.Charge, width: float) -> dict[str, Any]:
    """A charge; its temperatures move with that which was read, shifts and glide hardly."""
    ends = {name: Measured(getattr(charge, name), width) for name in ("bubble", "dew")}
    return _listed(asdict(charge), "composition") | ends


def _listed(row: dict[str, Any], *names: str) -> dict[str, Any]:
    """The row with these compositions as lists."""
    return row | {name: _parts(row[name]) for name in names}


def _parts(composition: Mapping[str, float]) -> list[dict[str, Any]]:
    return [{"designation": name, "mass_fraction": min(1.0, share)} for name, share in composition.items()]
