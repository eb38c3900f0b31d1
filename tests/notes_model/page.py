"""docs/NOTES-MODEL.md: how well the readers do on writers that they have not learned from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from tests.notes_model import baselines
from tests.notes_model.corpus import Line
from tests.notes_model.readers import both, learned, ruled
from tests.notes_model.scores import Said, Score, of_line, shown
from witnessmark.diagnosis.notes.model.reader import Heard

DOCS = Path(__file__).parents[2] / "docs"
PAGE, PICTURE = DOCS / "NOTES-MODEL.md", DOCS / "notes-model-scores.svg"
KINDS = ("all", "phone", "job", "teardown", "order")
THRESHOLDS = (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
HEAD = """# The learned reader of notes, measured

Written by `make notes-model`; do not edit. **The sentences are constructed, not collected in the field and not labelled
by practitioners**; one writer a sentence, no second labeller. Every figure is on writers whose lines the reader has not
learned from (folds of whole writers), and says nothing of notes of another kind. Wilson's 95 % intervals and counts
stand in brackets. A finding counts as right where its state is right too (present, absent, low, normal, high); what is
told as history, doubt, another machine's or advice must not be given as one of these. The curves from margins to scores
have eight numbers an outcome, fitted on the same held-out margins that they are judged on here.
"""


def measured(lines: Sequence[Line], of_lines: Sequence[Sequence[Heard]]) -> tuple[str, str]:
    """The page and its picture. of_lines: what readers hear in each line who have not read its writer."""
    readers = {
        "always the most frequent finding": baselines.most_frequent(lines),
        "overlap with the wording of the findings": baselines.wording_overlap(lines),
        "rules alone": ruled(lines),
        "learned reader, told what the rules take": learned(of_lines),
        "as the service joins them": both(lines, of_lines),
    }
    scores = [
        (one.score, line.labels.get(one.finding) == one.outcome)
        for line, o in zip(lines, of_lines, strict=True)
        for one in o
    ]
    bins = reliability(scores)
    writers = len({line.writer for line in lines})
    findings = len({finding for line in lines for finding in line.labels})
    text = [
        HEAD,
        f"{len(lines):,} lines, {writers} numbers of writers (01 stands for five), {findings} findings.",
        "## Readers by kind of note",
        table(lines, readers),
        "## Thresholds of the learned reader",
        table(lines, {f"score from {t:.2f}": learned(of_lines, t) for t in THRESHOLDS}, ("all",)),
        "## Scores are how often it is right",
        f"![Score against the share that is right]({PICTURE.name})",
        reliability_table(bins),
        "## By language",
        *(
            _language(name, lines, readers["as the service joins them"])
            for name in sorted({line.language for line in lines})
        ),
    ]
    return "\n\n".join(text) + "\n", picture(bins)


def _language(name: str, lines: Sequence[Line], said: Sequence[Said]) -> str:
    pairs = [(line, one) for line, one in zip(lines, said, strict=True) if line.language == name]
    return f"`{name}`\n\n" + table(
        [line for line, _ in pairs], {"as the service joins them": [one for _, one in pairs]}, ("all",)
    )


def table(lines: Sequence[Line], readers: Mapping[str, Sequence[Said]], kinds: Sequence[str] = KINDS) -> str:
    """One row a reader and kind of note."""
    rows = [
        f"| {name} | {kind} | {shown(score.precision)} | {shown(score.recall)} |"
        f" {score.both / max(score.spoken, 1):.3f} | {score.alarms_denied} | {score.denials_alarmed} |"
        for name, said in readers.items()
        for kind, score in by_kind(lines, said, kinds)
    ]
    head = (
        "| reader | kind | precision | recall | spoken of, heard | present heard as absent | absent heard as present |"
    )
    return "\n".join([head, "| --- | --- | --- | --- | --: | --: | --: |", *rows])


def by_kind(lines: Sequence[Line], said: Sequence[Said], kinds: Sequence[str]) -> Iterable[tuple[str, Score]]:
    """The score of all lines and of each kind."""
    for kind in kinds:
        chosen = [(line, one) for line, one in zip(lines, said, strict=True) if kind in ("all", line.style)]
        yield kind, sum((of_line(line.labels, one) for line, one in chosen), Score())


def reliability(pairs: Iterable[tuple[float, bool]], bins: int = 10) -> list[tuple[float, int, int]]:
    """Mean score, right and count of each bin of equal width that holds any."""
    seen: list[list[tuple[float, bool]]] = [[] for _ in range(bins)]
    for score, right in pairs:
        seen[min(int(score * bins), bins - 1)].append((score, right))
    return [(sum(s for s, _ in b) / len(b), sum(r for _, r in b), len(b)) for b in seen if b]


def reliability_table(bins: Sequence[tuple[float, int, int]]) -> str:
    """Mean score beside the share that is right."""
    rows = [f"| {mean:.2f} | {shown((right, count))} |" for mean, right, count in bins]
    return "\n".join(["| mean score | right |", "| --: | --- |", *rows])


def picture(bins: Sequence[tuple[float, int, int]]) -> str:
    """A diagram of the same: points on the line are scores that hold."""
    points = "".join(
        f'<circle cx="{40 + 300 * mean:.1f}" cy="{320 - 300 * right / count:.1f}" r="5" fill="#1f5fa8"/>'
        for mean, right, count in bins
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 360 360" font-family="sans-serif" font-size="12">'
        "<title>Score of the learned reader against the share that is right, writers held out</title>"
        '<rect width="360" height="360" fill="white"/><path d="M40 20V320H340" fill="none" stroke="black"/>'
        '<path d="M40 320L340 20" stroke="#888" stroke-dasharray="4"/>'
        '<text x="190" y="350" text-anchor="middle">score</text><text x="12" y="16">share right</text>'
        '<text x="36" y="335">0</text><text x="334" y="335">1</text><text x="26" y="28">1</text>'
        f"{points}</svg>\n"
    )
