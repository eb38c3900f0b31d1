"""GET /v1/refrigerants and /v1/refrigerants/{designation}."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path, Query

from witnessmark.api.context import RequestContext
from witnessmark.api.problems import ProblemError, documented
from witnessmark.api.routing import catalogue as listed
from witnessmark.api.routing import version_one
from witnessmark.api.schemas.refrigerants import CatalogueQuery, RefrigerantAnswer, RefrigerantsAnswer
from witnessmark.calculations.circuit import saturation
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError
from witnessmark.refrigerants import catalogue, library, ranges
from witnessmark.refrigerants.environment import environment
from witnessmark.refrigerants.names import LONGEST_NAME, NotServedError, resolve
from witnessmark.refrigerants.oils import OILS, oils
from witnessmark.refrigerants.unserved import Guessed

router = version_one("properties")


@listed(router, "/refrigerants", "The refrigerants that the service knows")
async def list_refrigerants(query: Annotated[CatalogueQuery, Query()]) -> RefrigerantsAnswer:
    """Every refrigerant with its class, the basis of its properties and how far they can be trusted."""
    context = RequestContext(query.report_in)
    context.cite("coolprop", "ashrae-34", "saturation-accuracy")
    entries = [catalogue.get(name) for name in catalogue.designations()]
    return context.answer(RefrigerantsAnswer, {"refrigerants": entries})


@listed(router, "/refrigerants/{designation}", "One refrigerant", responses=documented("unknown-name"))
async def get_refrigerant(
    designation: Annotated[
        str,
        Path(max_length=LONGEST_NAME, examples=["R-454B"], description="ASHRAE 34 designation, in any usual spelling."),
    ],
    query: Annotated[CatalogueQuery, Query()],
) -> RefrigerantAnswer:
    """Composition, class, critical point, range, property basis and its accuracy."""
    try:
        resolved = resolve(designation)
        refrigerant = catalogue.get(resolved)
    except NotServedError as error:
        raise ProblemError("unknown-name", str(error)) from None
    context = RequestContext(query.report_in)
    if isinstance(resolved, Guessed):
        context.assume(resolved.words)
    context.cite(
        "coolprop",
        "ashrae-34",
        "predefined-blends",
        "saturation-accuracy",
        *(note.source for note in refrigerant.notes),
    )
    context.warn(*refrigerant.cautions)
    potentials = environment(refrigerant.designation)
    context.cite(*potentials.sources)
    context.cite(OILS().source)
    name, triple = refrigerant.designation, _triple(refrigerant)
    return context.answer(
        RefrigerantAnswer,
        refrigerant,
        glide_at_one_atmosphere=_glide(name),
        lowest_because=ranges.coldest(name),
        highest_because=ranges.hottest(name),
        triple_temperature=None if triple is None else triple[0],
        triple_pressure=None if triple is None else triple[1],
        oils=oils(name),
        environment=potentials,
    )


def _triple(refrigerant: catalogue.Refrigerant) -> tuple[float, float] | None:
    """K and Pa; None where the property library knows no more than where its equation begins."""
    if catalogue.recipe(refrigerant.designation).equation_begins:
        return None
    return library.triple_point(refrigerant.designation, refrigerant.basis)


def _glide(designation: str) -> float | None:
    try:
        glide = saturation.at_pressure(designation, Measured(SEA_LEVEL_PRESSURE)).glide
    except OutOfRangeError:
        return None
    return None if glide is None else glide.value
