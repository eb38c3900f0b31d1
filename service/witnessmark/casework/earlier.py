"""What of a request for the diagnosis was true at another time than the rest: it contradicts nothing.

A machine that ran two days before the call and trips at the call tells one story, not two; and that a compressor runs
once another one is in says nothing of the one that failed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from witnessmark.casework.document import Json
from witnessmark.casework.moments import in_time, moment, zone_of
from witnessmark.casework.repair import GONE, ends
from witnessmark.casework.view import CIRCUIT, merged

RUNS = "compressor-runs"
EARLIER = (
    "The machine was read as it ran before the call: the diagnosis does not hold those readings against what was found "
    "later, and superheat and compression are worked out from them by themselves."
)


def of_the_failed_one(case: Mapping[str, Any], request: Json) -> Json:
    """The request without the condition that a compressor runs, where a step says that the failed one is out."""
    gone = any(end.kind in GONE and end.place is not None for end in ends(case))
    if not gone or RUNS not in (request.get("conditions") or ()):
        return request
    kept = [name for name in request["conditions"] if name != RUNS]
    rest = {key: value for key, value in request.items() if key != "conditions"}
    return {**rest, "conditions": kept} if kept else rest


def without_earlier(case: Mapping[str, Any], request: Json) -> Json | None:
    """The request with the circuit as it was read from the call on; None where nothing was read before it."""
    if not case.get("complaint_at"):
        return None
    zone = zone_of(case)
    call = moment(case["complaint_at"], zone)
    sets = in_time(case, "readings")
    later = [entry for entry in sets if not entry.get("at") or moment(entry["at"], zone) >= call]
    if len(later) == len(sets):
        return None
    told, now = request.get("readings") or {}, merged(later, "found")
    readings = {key: value for key, value in told.items() if key not in CIRCUIT}
    readings |= {key: value for key, value in now.items() if key in CIRCUIT}
    rest = {key: value for key, value in request.items() if key != "readings"}
    return None if readings == told else {**rest, "readings": readings} if readings else rest
