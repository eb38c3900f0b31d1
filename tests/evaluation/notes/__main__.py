"""`python -m tests.evaluation.notes`: how well notes are heard, on the open and on the sealed part (totals only)."""

from __future__ import annotations

import sys
from collections.abc import Iterator

from tests.evaluation.notes.notes import Note, Part, Score, commonest, notes

KINDS = ("phone", "job", "teardown", "order")


def groups(part: Part) -> Iterator[tuple[str, tuple[Note, ...]]]:
    """The groups that are scored apart."""
    every = notes(part)
    yield "notes", tuple(n for n in every if n.set == "notes")
    for kind in KINDS:
        yield f"notes, {kind}", tuple(n for n in every if n.set == "notes" and n.kind == kind)
    for name in ("danger", "denial", "spanish"):
        if chosen := tuple(n for n in every if n.set == name):
            yield name, chosen
    yield "all", every


def lines() -> Iterator[str]:
    """The table."""
    yield (
        "| part | group | notes | precision | recall | present read absent | absent read present | danger heard "
        "| false danger |"
    )
    yield "| --- | --- | --: | --- | --- | --- | --- | --- | --- |"
    parts: tuple[Part, ...] = ("open", "sealed")
    for part in parts:
        for name, chosen in groups(part):
            yield f"| {part} | {name} | {len(chosen)} | {_row(Score.of(chosen))} |"
        yield f"| {part} | all, always the commonest finding | | {_row(Score.of(notes(part), commonest))} |"


def _row(score: Score) -> str:
    shares = (
        score.precision, score.recall, score.inverted, score.alarmed_by_denial, score.danger, score.false_danger
    )  # fmt: skip
    return " | ".join(str(share) if share.whole else "none" for share in shares)


if __name__ == "__main__":
    sys.stdout.write("\n".join(lines()) + "\n")
