"""What all searches found, with what one witness tells alone, and without what rests on readings that cannot be."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark import effort
from witnessmark.trend.doubt.alone import one_witness
from witnessmark.trend.doubt.brief import chilled_starts, slugs
from witnessmark.trend.doubt.over_air import stepped
from witnessmark.trend.doubt.remarks import Remark, remarks, without_impossible
from witnessmark.trend.doubt.short_rest import after_short_rest
from witnessmark.trend.episode import Episode, View

DAY = 86_400.0
LEAST_LEAD = 7 * DAY
"""How much earlier a drift begins than readings stand in the order of exchanged sensors, where it led to that."""


def _led_there(one: Episode, drifts: Sequence[Episode]) -> bool:
    """Whether a sensor that drifted for weeks stands beyond another in the end: nobody exchanged the two."""
    return one.kind == "sensors-swapped" and any(
        drift.sensor in {one.sensor, one.other} and drift.start <= one.start - LEAST_LEAD and drift.end >= one.start
        for drift in drifts
    )


def weighed(view: View, found: Sequence[Episode]) -> tuple[list[Episode], list[Remark]]:
    """The episodes of a compressor that stand, and what is to be remarked beside them."""
    effort.check()
    drifts = [one for one in found if one.kind == "sensor-drift"]
    found = [one for one in found if not _led_there(one, drifts)]
    found = (*found, *after_short_rest(view, found), *stepped(view, found))
    found = (*found, *chilled_starts(view, found))
    impossible = [remark for remark in remarks(view, found) if remark.row.impossible]
    kept = without_impossible(found, impossible)
    kept += without_impossible(tuple(one_witness(view, kept)), impossible)
    kept += without_impossible(tuple(slugs(view, kept)), impossible)
    return kept, list(remarks(view, kept))
