"""POST /v1/noncondensables."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.reading_ranges import AMBIENT, GAUGE, PRESSURES, TEMPERATURES, VOLUMES
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas.noncondensables import NoncondensablesAnswer, NoncondensablesRequest
from witnessmark.calculations.circuit import noncondensables as core
from witnessmark.refrigerants import catalogue

router = version_one("calculations")


@calculation(router, "/noncondensables", "Air or nitrogen in the circuit, by the standing pressure")
def noncondensables(body: NoncondensablesRequest) -> NoncondensablesAnswer:
    """Hold the pressure of a stopped circuit against the bubble pressure at its temperature.

    What stands above it is the partial pressure of gas that does not condense; the verdict waits for the uncertainty.
    """
    context = RequestContext.of(body)
    limit = core.RULES().matters.source
    context.cite("coolprop", "dalton", limit)
    context.warn("licensed", "standing-test", "purge-by-recovery", *catalogue.get(body.refrigerant).doubts)
    pressure = context.read(body.pressure, "pressure", *PRESSURES, GAUGE)
    temperature = context.read(body.temperature, "temperature", *TEMPERATURES, AMBIENT)
    space = context.read_optional(body.gas_space, "gas_space", *VOLUMES)
    test = core.standing_test(body.refrigerant, pressure, temperature, space)
    meaning = core.RULES().meaning[test.verdict]
    return context.answer(NoncondensablesAnswer, test, refrigerant=body.refrigerant, meaning=meaning, limit_from=limit)
