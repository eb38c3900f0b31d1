"""The oil of the failed compressor, told by its sample and by the signs: the worse of both counts for the cleanup."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from witnessmark.calculations.samples.oil_quality import deciding
from witnessmark.casework.document import Json, at
from witnessmark.vocabulary import Oil, words

MEASURED = {"acid_number": "acid number", "water": "water", "colour": "colour"}
"""What both may tell, by field."""
Size = Callable[[str, Any], float]
"""How much a reading of a field is, in SI."""


def with_old_oil(seen: Json, size: Size) -> tuple[Json, tuple[str, ...]]:
    """The view in which the signs hold nothing that is better than what the sample of the old oil holds."""
    signs, sample = dict(seen.get("signs") or {}), seen.get("old_oil") or {}
    worse = [
        field
        for field in MEASURED
        if None not in (told := (signs.get(field), sample.get(field))) and size(field, told[1]) > size(field, told[0])
    ]
    signs |= {field: sample[field] for field in worse}
    said = [
        f"The cleanup takes the sample of the old oil, which is worse than the signs: {MEASURED[f]}." for f in worse
    ]
    if acid_denied(seen):
        del signs["acid_test"]
        said.append("The cleanup takes the acid number of the old oil, not the negative test.")
    return ({**seen, "signs": signs}, tuple(said)) if said else (seen, ())


def acid_denied(seen: Mapping[str, Any]) -> bool:
    """Whether a test found no acid in an oil whose sample is over the limit at which one acts."""
    acid, oil = at(seen, "old_oil.acid_number"), at(seen, "machine.oil")
    if acid is None or at(seen, "signs.acid_test") != "negative" or oil not in words(Oil):
        return False
    limit = deciding(oil, "acid_number", "act")
    return limit is not None and float(acid["value"]) > limit.value


TIMES, STEPS, LITTLE = 3.0, 2.0, 0.1
"""How far two readings of one oil may lie apart: ratio, steps of colour; mg KOH/g below which no ratio tells."""


def told_apart(seen: Mapping[str, Any]) -> Iterator[str]:
    """What signs and sample tell of the old oil that cannot both be right."""
    signs, sample = seen.get("signs") or {}, seen.get("old_oil") or {}
    for field, name in MEASURED.items():
        one, other = signs.get(field), sample.get(field)
        if None not in (one, other) and _apart(field, one, other):
            yield f"Signs and sample of the old oil tell two things, the worse one counts: {name}."
    if acid_denied(seen):
        yield "A test found no acid in the old oil, its sample is over the limit: the sample counts."


def _apart(field: str, one: Any, other: Any) -> bool:
    if field == "colour":
        return abs(float(one) - float(other)) >= STEPS
    if one["unit"] != other["unit"]:
        return False
    low, high = sorted((float(one["value"]), float(other["value"])))
    return high > TIMES * low and (field != "acid_number" or high > LITTLE)
