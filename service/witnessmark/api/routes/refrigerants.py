"""GET /v1/refrigerants and /v1/refrigerants/{designation}."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path, Query

from witnessmark.api.context import RequestContext
from witnessmark.api.problems import ProblemError, documented
from witnessmark.api.quantities import Pressure, Temperature, TemperatureDifference
from witnessmark.api.routing import catalogue as listed
from witnessmark.api.routing import version_one
from witnessmark.api.schemas.refrigerants import (
    CatalogueNote,
    CatalogueQuery,
    ComponentPart,
    RefrigerantAnswer,
    RefrigerantDetail,
    RefrigerantEntry,
    RefrigerantList,
    RefrigerantsAnswer,
)
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.refrigerants.catalogue import Refrigerant

router = version_one("properties")


@listed(router, "/refrigerants", "The refrigerants that the service knows")
async def list_refrigerants(query: Annotated[CatalogueQuery, Query()]) -> RefrigerantsAnswer:
    """Every refrigerant with its class, the basis of its properties and how far they can be trusted."""
    context = RequestContext(query.report_in)
    context.cite("coolprop", "ashrae-34", "saturation-accuracy")
    entries = [
        RefrigerantEntry.model_validate(_entry(context, catalogue.get(name))) for name in catalogue.designations()
    ]
    return RefrigerantsAnswer(result=RefrigerantList(refrigerants=entries), **context.notes())


@listed(router, "/refrigerants/{designation}", "One refrigerant", responses=documented("unknown-name"))
async def get_refrigerant(
    designation: Annotated[str, Path(max_length=40, examples=["R-454B"])], query: Annotated[CatalogueQuery, Query()]
) -> RefrigerantAnswer:
    """Composition, class, critical point, range, property basis and its accuracy."""
    try:
        found = catalogue.get(designation)
    except UnknownNameError as error:
        hint = f"near: {', '.join(error.near)}" if error.near else "GET /v1/refrigerants lists them"
        raise ProblemError("unknown-name", hint) from None
    context = RequestContext(query.report_in)
    context.cite("coolprop", "ashrae-34", "saturation-accuracy", *(note.source for note in found.notes))
    context.warn(*found.cautions)
    return RefrigerantAnswer(result=_detail(context, found), **context.notes())


def _entry(context: RequestContext, found: Refrigerant) -> dict[str, object]:
    return {
        "designation": found.designation,
        "chemical_name": found.chemical_name,
        "kind": found.kind,
        "safety_class": found.safety_class,
        "basis": found.basis,
        "accuracy": context.show(TemperatureDifference, found.accuracy_K),
    }


def _detail(context: RequestContext, found: Refrigerant) -> RefrigerantDetail:
    detail = {
        "toxicity": found.toxicity,
        "flammability": found.flammability,
        "composition": [ComponentPart.model_validate(part, from_attributes=True) for part in found.components],
        "molar_mass": found.molar_mass,
        "critical_temperature": context.show(Temperature, found.critical_temperature),
        "critical_pressure": context.show(Pressure, found.critical_pressure),
        "lowest_temperature": context.show(Temperature, found.t_min),
        "highest_temperature": context.show(Temperature, found.t_max),
        "glide_at_one_atmosphere": context.show_optional(TemperatureDifference, _glide(found.designation)),
        "equation_of_state": found.library,
        "notes": [CatalogueNote.model_validate(note, from_attributes=True) for note in found.notes],
    }
    return RefrigerantDetail.model_validate({**_entry(context, found), **detail})


def _glide(designation: str) -> float | None:
    try:
        dew = float(saturation.dew_temperature(designation, SEA_LEVEL_PRESSURE))
        return dew - float(saturation.bubble_temperature(designation, SEA_LEVEL_PRESSURE))
    except OutOfRangeError:
        return None
