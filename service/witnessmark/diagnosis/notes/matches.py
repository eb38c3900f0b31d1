"""What is taken from a note: a finding in a state, the words it rests on, and why it is unknown where it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.diagnosis.case import ReportState

UnknownBecause = TypeAliasType(
    "UnknownBecause",
    Literal[
        "not checked",
        "doubtful",
        "denied in part",
        "history",
        "other machine",
        "advice or condition",
        "unclear",
    ],
)
"""Why the state of a finding is unknown, though the note speaks of it."""


THRESHOLD = 0.6
"""Score from which a match, a mention or a hit of the wording is believed."""
FAINTEST = 0.35
"""Score below which not even a candidate is shown."""


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Words of the note: characters `start` to `end`, end not included."""

    text: str
    start: int
    end: int


def excerpts(spans: Sequence[tuple[int, int]], text: str) -> tuple[Excerpt, ...]:
    """The characters of these words; those that only a blank parts run together."""
    run: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if run and not text[run[-1][1] : start].strip():
            run[-1] = (run[-1][0], end)
        else:
            run.append((start, end))
    return tuple(Excerpt(text[start:end], start, end) for start, end in run)


@dataclass(frozen=True, slots=True)
class Match:
    """One finding (or normal, which stands for the absence of several) as the note reports it.

    score: 0..1, how well the wording fits; not a probability. words: what it rests on. negation: words that deny it.
    doubt: words that make it uncertain or say that nobody looked. unknown_because: why, where the state is unknown.
    quantity, value: the reading behind it and its value in SI, for `Case.readings`; None where there is no number or
    its unit is not certain. set_aside: why the machine cannot have it; "" where it can.
    firm: plain words or numbers that the learned reader does not judge again.
    """

    finding: str
    state: ReportState
    score: float
    words: tuple[Excerpt, ...]
    negation: tuple[Excerpt, ...] = ()
    doubt: tuple[Excerpt, ...] = ()
    unknown_because: UnknownBecause | None = None
    quantity: str | None = None
    value: float | None = None
    set_aside: str = ""
    firm: bool = False
