"""What is said on the phone where people are in a plight of their own: held by current, shut in the cold, freezing."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from witnessmark.diagnosis.case import Urgency
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.catalogue.triage import Plight, triage
from witnessmark.diagnosis.result import DispatchAdvice
from witnessmark.vocabulary import words

SAVE: Mapping[Urgency, str] = {
    "medical": "Keep the door shut, move medicine, blood and samples into another cold place now, mark them, and ask "
    "their maker or the pharmacy before they are used; bring frail people to a cooler room and give them water",
    "food-at-risk": "Keep the doors shut, note time and temperature, and move the goods into another cold place before "
    "they are warm; dry ice only with fresh air in the room; do not sell or eat what has been warm",
}
"""What saves goods and people until somebody comes (common practice)."""


def urgency_in(plights: Sequence[str], said: Urgency | None) -> Urgency | None:
    """The urgency of a call with these plights: that of the caller, or a more urgent one of a plight."""
    of_plights = [row.urgency for row in _rows(plights) if row.urgency is not None]
    return min((one for one in (said, *of_plights) if one is not None), key=words(Urgency).index, default=None)


def explained(plights: Sequence[str]) -> frozenset[str]:
    """Dangers that, heard faintly, are these plights themselves."""
    return frozenset(key for row in _rows(plights) for key in row.explains)


def first_words(plights: Sequence[str]) -> tuple[str, ...]:
    """What these plights ask to be said before all else."""
    return tuple(row.for_caller for row in _rows(plights) if row.first)


def with_plights(
    advised: DispatchAdvice, plights: Sequence[str], told: Collection[str], known: Knowledge
) -> DispatchAdvice:
    """The advice with what the plights ask to be said, without what misleads there. told: findings of the call."""
    rows = [*_rows(plights)]
    if not rows:
        return advised
    left_out = {line for row in rows for line in _left_out(row, told, known)}
    later = [row.for_caller for row in rows if not row.first]
    kept = (line for line in advised.for_caller if line not in left_out)
    return replace(advised, for_caller=(*first_words(plights), *kept, *later))


def _rows(plights: Sequence[str]) -> Iterator[Plight]:
    yield from (triage().plight[key] for key in plights)


def _left_out(row: Plight, told: Collection[str], known: Knowledge) -> Iterator[str]:
    if row.saving:
        yield from SAVE.values()
    for rule in known.safety:
        if rule.id in row.instead_of and not set(row.unless) & set(told):
            yield from rule.for_caller or (rule.text,)
