"""A reader that has learned nothing: tests of the rules do not depend on what was trained last."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.diagnosis.notes.model.reader import Heard, Ruled


class Deaf:
    """Hears nothing, so that what the rules take from a note stands."""

    def hear(self, _text: str, _ruled: Sequence[Ruled] = (), _meant: object = None) -> list[Heard]:
        return []
