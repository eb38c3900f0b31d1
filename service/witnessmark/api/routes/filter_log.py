"""POST /v1/cleanup/filter-log."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import note, taken
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import filter_log as wire
from witnessmark.cleanup.filter_log import judge_log
from witnessmark.cleanup.log_readings import FilterLogCase
from witnessmark.errors import ConflictError

router = version_one("cleanup")
ABOUT_THE_AIR = (0.5, 1.5)
"""Times the air pressure: pressures of two kinds that lie so far apart differ in their kind, not across a core."""


@calculation(router, "/cleanup/filter-log", "Judge a log of filter readings: change, keep or clean")
def judge_filter_log(body: wire.FilterLogRequest) -> wire.FilterLogAnswer:
    """Bring every drop to full flow as an interval, follow its trend to the limit, and say when to look again.

    Readings under 40 % of full flow are not judged. Torn cores, swapped taps and gauge offsets are named.
    """
    context = RequestContext.of(body)
    _one_kind(body, context)
    log = judge_log(taken(context, FilterLogCase, body))
    note(context, log.notes)
    return context.answer(wire.FilterLogAnswer, log, refrigerant=body.refrigerant)


def _one_kind(body: wire.FilterLogRequest, context: RequestContext) -> None:
    """ConflictError where one side was sent as gauge and the other as absolute pressure, and that is all their drop."""
    for n, reading in enumerate(body.readings):
        inlet, outlet = reading.inlet_pressure, reading.outlet_pressure
        if inlet is None or outlet is None or inlet.scale.gauge == outlet.scale.gauge:
            continue
        air = context.air_pressure()
        drop = abs(inlet.to_si(air).value - outlet.to_si(air).value)
        if ABOUT_THE_AIR[0] * air <= drop <= ABOUT_THE_AIR[1] * air:
            fields = (f"readings.{n}.inlet_pressure", f"readings.{n}.outlet_pressure")
            fault = "one is a gauge pressure, the other absolute, and the air is all that lies between them"
            raise ConflictError(fields, fault, "both of one kind")
