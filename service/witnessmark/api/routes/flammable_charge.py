"""POST /v1/flammable-charge."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from witnessmark.api.context import RequestContext
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.flammable_charge import (
    FlammableChargeAnswer,
    FlammableChargeRequest,
    FlammableChargeResult,
)
from witnessmark.calculations.circuit import flammable_charge as core
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import located
from witnessmark.refrigerants import catalogue

router = version_one("calculations")
MARKED = (
    "The charge has no uncertainty: taken as marked by the maker, exact. Of a weighed one send the uncertainty of the "
    "scale."
)

ONE_ROOM = "The whole charge may leak into one closed room above ground; gas heavier than air."
ELSEWHERE: Mapping[core.Appliance, str] = MappingProxyType(
    {
        "plug-in-cabinet": (
            "Not judged: a cabinet with its circuit built in falls under IEC 60335-2-89, whose formulas are not known "
            "here. Its own marking says what it holds, and in how large a room it may stand."
        ),
        "outdoors": (
            "Not judged: these rules are for closed rooms. Outdoors the machine's manual says how far it stays from "
            "openings, drains, hollows and whatever ignites."
        ),
    }
)


@calculation(router, "/flammable-charge", "Charge limits and room size of a flammable refrigerant")
async def flammable_charge(body: FlammableChargeRequest) -> FlammableChargeAnswer:
    """Caps m1, m2, m3 by the lower flammability limit, the most that a room may take, the room that a charge needs.

    By every standard whose formulas are published, as far as they are; the strictest decides.
    """
    context = RequestContext.of(body)
    charge = _charge(context, body)
    area = context.read_optional(body.room_area, "room_area", *core.AREAS)
    context.warn(
        "licensed", "room-limit-scope", "plug-in-cases", "charge-by-weight", *catalogue.get(body.refrigerant).cautions
    )
    context.assume(ELSEWHERE.get(body.appliance, ONE_ROOM))
    with located(height="release_height", area="room_area"):
        verdict = core.flammable_charge(body.refrigerant, charge, _height(context, body), area)
    if body.appliance in ELSEWHERE:
        verdict = core.not_by_rooms(verdict)
    context.cite(*(standard.source for standard in verdict.standards))
    return FlammableChargeAnswer(
        result=FlammableChargeResult.model_validate(verdict, context=context), **context.notes()
    )


def _charge(context: RequestContext, body: FlammableChargeRequest) -> Measured:
    """The charge; the standards' caps are for the marked one, which is no weighing."""
    if body.charge.uncertainty is None:
        context.assume(MARKED)
    return context.read(body.charge, "charge", *core.CHARGES)


def _height(context: RequestContext, body: FlammableChargeRequest) -> float:
    heights = core.TABLE().heights
    context.cite(heights.source)
    if body.mounting is not None:
        return heights.of(body.mounting)
    if body.release_height is None:
        context.assume("Where a leak comes out was not said: the least height that counts, which is the safe side.")
        return heights.least
    height = context.read(body.release_height, "release_height", *core.HEIGHTS).value
    if height > heights.ceiling:
        context.assume(
            f"A leak above {heights.ceiling:g} m counts as one at {heights.ceiling:g} m, the highest that the "
            "standards' formulas know."
        )
    return height
