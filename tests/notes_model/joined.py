"""Lines of one writer run together as whole notes are, so that what is beside a finding tells nothing of it."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

from tests.notes_model.corpus import Line
from witnessmark.diagnosis.notes.model.words import LONGEST_UNIT, words

SEED = 0
_JOINTS = {
    "en": (" ", " ", " ", ", ", ". ", " and ", " but ", "; ", " - "),
    "es": (" ", " ", ", ", ". ", " y ", " pero "),
}
_LINES = (2, 2, 2, 3, 3, 4)
"""How many lines are run together, each as often as it stands here."""
_STOPS = ".!?;, "


def joined(lines: Sequence[Line], share: float) -> list[Line]:
    """So many notes a line, each of lines of one writer and style that tell no finding in two ways."""
    draw = random.Random(SEED)  # noqa: S311 - a fixed choice of lines, no secret
    groups: dict[tuple[str, str, str], list[Line]] = {}
    for line in lines:
        groups.setdefault((line.writer, line.language, line.style), []).append(line)
    return [note for _, group in sorted(groups.items()) for note in _of_group(group, share, draw)]


def _of_group(group: Sequence[Line], share: float, draw: random.Random) -> Iterator[Line]:
    for _ in range(int(share * len(group))):
        if len(group) >= _LINES[-1] and (note := _note(draw.sample(group, draw.choice(_LINES)), draw)):
            yield note


def _note(parts: Sequence[Line], draw: random.Random) -> Line | None:
    """The lines as one; None where it is too long to be read as one or tells a finding twice."""
    text = parts[0].text
    for part in parts[1:]:
        joint = draw.choice(_JOINTS[part.language])
        text = (text if joint == " " else text.rstrip(_STOPS)) + joint + part.text
    labels = {finding: state for part in parts for finding, state in part.labels.items()}
    if len(labels) < sum(len(part.labels) for part in parts) or len(words(text)) > LONGEST_UNIT:
        return None
    return Line(parts[0].writer, parts[0].language, parts[0].style, text, labels)
