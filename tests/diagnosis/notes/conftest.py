"""Tests of the rules are read by the rules alone, a module with `LEARNED = True` by rules and learned reader."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pytest

from witnessmark.diagnosis.notes import matching
from witnessmark.diagnosis.notes.model.reader import Heard, Ruled


class Deaf:
    """Hears nothing, so that what the rules take from a note stands."""

    def hear(self, _text: str, _ruled: Sequence[Ruled] = ()) -> list[Heard]:
        return []


@pytest.fixture(scope="module", autouse=True)
def reader(request: pytest.FixtureRequest) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patched:
        if not getattr(request.module, "LEARNED", False):
            patched.setattr(matching, "shipped", Deaf)
        yield
