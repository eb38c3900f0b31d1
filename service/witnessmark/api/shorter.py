"""Answers that promise a size: less of what may be left out, until they keep it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from pydantic import BaseModel

Length = TypeVar("Length")
Answer = TypeVar("Answer", bound=BaseModel)


def fitting(made: Callable[[Length], Answer], lengths: Sequence[Length], most: int) -> Answer:
    """The answer at the first of these lengths at which it takes at most `most` bytes; at the last where none does."""
    *longer, least = lengths
    for length in longer:
        answer = made(length)
        if len(answer.model_dump_json(by_alias=True).encode()) <= most:
            return answer
    return made(least)
