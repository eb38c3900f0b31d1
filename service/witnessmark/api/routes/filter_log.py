"""POST /v1/cleanup/filter-log."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import note, taken
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import filter_log as wire
from witnessmark.cleanup.filter_log import judge_log
from witnessmark.cleanup.log_readings import FilterLogCase

router = version_one("cleanup")


@calculation(router, "/cleanup/filter-log", "Judge a log of filter readings: change, keep or clean")
def judge_filter_log(body: wire.FilterLogRequest) -> wire.FilterLogAnswer:
    """Bring every drop to full flow as an interval, follow its trend to the limit, and say when to look again.

    Readings under 40 % of full flow are not judged. Torn cores, swapped taps and gauge offsets are named.
    """
    context = RequestContext.of(body)
    log = judge_log(taken(context, FilterLogCase, body))
    note(context, log.notes)
    return context.answer(wire.FilterLogAnswer, log, refrigerant=body.refrigerant)
