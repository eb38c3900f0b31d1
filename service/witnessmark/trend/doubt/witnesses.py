"""What all searches found, with what one witness tells alone, and without what rests on readings that cannot be."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark import effort
from witnessmark.trend.doubt.alone import one_witness
from witnessmark.trend.doubt.over_air import stepped
from witnessmark.trend.doubt.remarks import Remark, remarks, without_impossible
from witnessmark.trend.doubt.short_rest import after_short_rest
from witnessmark.trend.episode import Episode, View


def weighed(view: View, found: Sequence[Episode]) -> tuple[list[Episode], list[Remark]]:
    """The episodes of a compressor that stand, and what is to be remarked beside them."""
    effort.check()
    found = (*found, *after_short_rest(view, found), *stepped(view, found))
    impossible = [remark for remark in remarks(view, found) if remark.row.impossible]
    kept = without_impossible(found, impossible)
    kept += without_impossible(tuple(one_witness(view, kept)), impossible)
    return kept, list(remarks(view, kept))
