"""What a note quotes of the customer and only an instrument or an open compressor tells: asked, not found."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.danger_rows import as_ruled
from witnessmark.diagnosis.notes.telling import is_danger

INSTRUMENTS = frozenset(
    {
        "gauges", "clamp thermometer", "two clamp thermometers", "ohmmeter", "milliohmmeter", "clamp meter",
        "peak-hold clamp meter", "true rms meter", "min-max voltmeter", "millivoltmeter", "voltmeter",
        "voltmeter with minimum hold", "capacitance meter", "diode-test meter", "rotation meter", "manometer",
        "refractometer", "oscilloscope", "meter rated for dc bus", "refrigerant analyser",
    }
)  # fmt: skip
"""Tools without which nobody tells what they show: whoever stands beside it hears and smells, but reads no gauge."""
_WHO = (
    r"(customer|cust|owner|client|tenant|caller|manager|staff|guest|user|cook|chef|cliente|due[nñ]o|encargad[oa]|dono)"
)
_SAYS = r"(says?|said|reports?|reported|claims?|claimed|tells?|told|states?|stated|thinks?|dice|dijo|diz|disse)"
_BEFORE = re.compile(rf"\b{_WHO}s?\b[^.;\n]{{0,30}}\b{_SAYS}\b[^.;\n]{{0,60}}$", re.IGNORECASE)
_AFTER = re.compile(
    rf"^[^.;,\n]{{0,20}}?\b((according to|per|seg[uú]n|segundo)( the| our| el| o)? {_WHO}\b|{_SAYS} (the )?{_WHO}\b)",
    re.IGNORECASE,
)
_BROKEN_OFF = re.compile(r"\b(i|we|tech|technician|found|measured|read|checked|confirmed)\b", re.IGNORECASE)
"""After these words somebody else tells."""


def quoted(match: Mapping[str, Any], text: str) -> bool:
    """Whether a match is the customer's telling of what only an instrument or an open compressor shows.

    text: the note. What must stop a machine or endangers people counts whoever tells it.
    """
    finding = match["finding"]
    if is_danger(finding) or finding in as_ruled() or not _beyond_senses(finding):
        return False
    spans = [(word["start"], word["end"]) for word in match.get("words", ())]
    return bool(spans) and all(_told(text[:first], text[last:]) for first, last in spans)


def _beyond_senses(finding: str) -> bool:
    row = knowledge().findings.get(finding)
    if row is None or row.check is None:
        return False
    return row.stage in ("teardown", "laboratory") or not INSTRUMENTS.isdisjoint(row.check.tools)


def _told(before: str, after: str) -> bool:
    said = _BEFORE.search(before)
    own = said is not None and _BROKEN_OFF.search(before[said.start() :]) is not None
    return (said is not None and not own) or _AFTER.search(after) is not None
