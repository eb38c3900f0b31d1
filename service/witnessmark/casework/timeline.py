"""What happened when, as the case document tells it, and what the cleanup plan asks for next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from typing_extensions import TypeAliasType

from witnessmark.casework.document import at
from witnessmark.casework.moments import moment, zone_of
from witnessmark.trend.rules import RULES

When = TypeAliasType("When", Literal["done", "ahead", "open"])
"""Of an entry of the timeline: before the moment the case is as of, after it, or that moment was not given."""
LONGEST = 160
_SETS = {
    "found": "Readings as found",
    "sound": "Readings of the sound machine",
    "after-repair": "Readings after the repair",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One moment. local: ISO 8601 on the clock of the site. planned: whether it is a visit of the plan."""

    local: str
    what: str
    when: When
    planned: bool = False


INTENDED = "Intended start of the new compressor"


def undated(case: Mapping[str, Any]) -> tuple[str, ...]:
    """What the document tells without a time: notes, samples and steps of work, in its order."""
    notes = [_short(f"Note: {note['text']}") for note in case.get("notes") or () if not note.get("at")]
    samples = case.get("oil_samples") or ()
    oils = [f"Oil sample: {sample['sample'].replace('-', ' ')}" for sample in samples if not sample.get("at")]
    gases = ["Refrigerant sample" for sample in case.get("refrigerant_samples") or () if not sample.get("at")]
    steps = [_short(step["text"]) for step in case.get("work_done") or () if not step.get("at")]
    return (*notes, *oils, *gases, *steps)


def timeline(case: Mapping[str, Any], plan: Mapping[str, Any] | None) -> tuple[Entry, ...]:
    """All moments that the document and the plan name, in order of time; nothing here reads a clock."""
    site = zone_of(case)
    now = None if case.get("as_of") is None else datetime.fromisoformat(case["as_of"])
    told = [(moment(text, site), what, False) for text, what in _told(case)]
    visits = [(moment(c["local"], site), c["title"], True) for c in (plan or {}).get("checks", ())]
    begins = {when for when, _, _ in visits}
    told = [row for row in told if row[1] != INTENDED or row[0] not in begins]  # the plan begins with it itself
    entries = sorted((*told, *visits), key=lambda entry: entry[0])
    return tuple(Entry(when.isoformat(), what, _when(when, now), planned) for when, what, planned in entries)


def _when(when: datetime, now: datetime | None) -> When:
    if now is None:
        return "open"
    return "done" if when <= now else "ahead"


def _told(case: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """(moment, what) of everything in the document that has one."""
    if case.get("complaint_at"):
        yield case["complaint_at"], _short(f"Call: {case.get('complaint', '')}")
    for note in case.get("notes") or ():
        yield from _dated(note, _short(f"Note: {note['text']}"))
    for entry in case.get("readings") or ():
        yield from _dated(entry, _SETS[entry.get("of", "found")])
    for episode in case.get("log_episodes") or ():
        yield from _dated(episode, f"Log: {RULES()[episode['kind']].title}")
    for sample in case.get("oil_samples") or ():
        yield from _dated(sample, f"Oil sample: {sample['sample'].replace('-', ' ')}")
    for sample in case.get("refrigerant_samples") or ():
        yield from _dated(sample, "Refrigerant sample")
    for look in at(case, "filter_log.readings") or ():
        yield look["at"], "New core fitted" if look.get("new_core") else "Filter reading"
    for step in case.get("work_done") or ():
        yield from _dated(step, _short(step["text"]))
    if case.get("start"):
        yield case["start"], INTENDED


def _dated(entry: Mapping[str, Any], what: str) -> Iterator[tuple[str, str]]:
    if entry.get("at"):
        yield entry["at"], what


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= LONGEST else line[: LONGEST - 1].rstrip() + "…"
