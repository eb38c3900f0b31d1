"""docs/NOTES.md: how well notes are heard, written by `python -m tests.evaluation.notes page`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from tests.evaluation.notes.notes import Note, Part, Reader, Score, notes
from tests.evaluation.notes.readers import all_denied, all_there, both, commonest, learned_alone, rules_alone, second

PAGE = Path(__file__).parents[3] / "docs" / "NOTES.md"
KINDS = ("phone", "job", "teardown", "order")
PARTS: tuple[Part, ...] = ("open", "sealed")
READERS: dict[str, Reader] = {
    "the service": both,
    "rules alone": rules_alone,
    "learned reader alone": learned_alone,
    "always the commonest finding": commonest,
    "all denied, danger in everything": all_denied,
    "all there, danger never": all_there,
}
HEAD = """# How well notes are heard

Written by `python -m tests.evaluation.notes page`; do not edit. **Constructed notes, not collected in the field, not
labelled by practitioners.** Five writers who had the public wording of the findings and nothing of the reader wrote and
labelled 1,035 texts before any reader saw them. The open part has been read while the reader was made better and is
development; of the sealed part nothing but totals has been read, several times: a first way of joining rules and
learned reader was dropped since the gate on sealed denials failed, so the totals below flatter a little. A match is
right where its finding and its state are;
what is told as history, doubt, another machine's or advice must not be given as a state of this machine. *Present read
absent*: of findings that are there, those read as their denial; *absent read present* the reverse. *Danger heard*: of
notes that tell danger to people, those in which a rule for danger fires or a call back is asked for; *false danger* the
same of notes without. In brackets the interval of 95 % (Clopper and Pearson).
"""
SECOND = """## A second labeller
Of 205 notes labels were made a second time by a labeller of the same making as the first, so their agreement is no
independent bound on what a reader can reach: practitioners may agree less.
"""
COLUMNS = "precision | recall | present read absent | absent read present | danger heard | false danger |"
RULE = "| --- | --- | --: | --- | --- | --- | --- | --- | --- |"


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


def table(readers: Mapping[str, Reader], wanted: Sequence[str] = ()) -> Iterator[str]:
    """A row a reader, part and group. wanted: groups; all where none is named."""
    yield f"| reader | part, group | notes | {COLUMNS}"
    yield RULE
    for part in PARTS:
        for name, chosen in groups(part):
            for title, reader in readers.items():
                if not wanted or name in wanted:
                    yield f"| {title} | {part}, {name} | {len(chosen)} | {row(Score.of(chosen, reader))} |"


def row(score: Score) -> str:
    """The shares of a score, parted."""
    shares = (score.precision, score.recall, score.inverted, score.alarmed_by_denial)
    danger = (score.danger, score.false_danger)
    return " | ".join(str(share) if share.whole else "none" for share in (*shares, *danger))


def agreement() -> Score:
    """The second labeller's labels scored against the first's."""
    chosen = {n.id: n for part in PARTS for n in notes(part) if n.id in second()}
    by_text = {n.text: second()[n.id] for n in chosen.values()}
    return Score.of(chosen.values(), lambda text: by_text[text])


def page() -> str:
    """The whole page."""
    own = {"the service": both}
    rest = {name: reader for name, reader in READERS.items() if reader is not both}
    return "\n".join(
        [
            HEAD,
            "## The service, by part and kind of note",
            *table(own),
            "",
            "## Its parts alone, and who knows nothing",
            *table(rest, ("notes", "danger", "denial", "spanish", "all")),
            "",
            SECOND,
            f"| reader | part, group | notes | {COLUMNS}",
            RULE,
            f"| second labeller | both parts | {len(second())} | {row(agreement())} |",
            "",
        ]
    )
