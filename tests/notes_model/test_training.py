"""Training is the same every time, and a new finding needs sentences only."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.notes_model.__main__ import write
from tests.notes_model.corpus import Line, read
from tests.notes_model.joined import joined
from tests.notes_model.page import picture, reliability
from tests.notes_model.scores import Score, of_line, shown, wilson
from tests.notes_model.training import folds, train, with_danger
from witnessmark.diagnosis.notes.model.reader import DANGER, Model
from witnessmark.diagnosis.notes.model.store import packed

NEW = "belt-slips"
SENTENCES = (
    ("the belt slips and squeals", "p"),
    ("drive belt slipping badly under load", "p"),
    ("belt squealing, glazed and loose", "p"),
    ("BELT SLIPS WHEN IT STARTS", "p"),
    ("v-belt polished shiny, slips on the pulley", "p"),
    ("black belt dust everywhere, belt slips", "p"),
    ("belts loose, slipping on start", "p"),
    ("squeal from the belt at start up", "p"),
    ("belt tight, no slipping", "a"),
    ("belt does not slip", "a"),
    ("belts good and tight, no squeal", "a"),
    ("no belt slip seen", "a"),
)
"""A dozen sentences of a finding that the corpus does not know, by three writers."""


@pytest.fixture(scope="module")
def some() -> list[Line]:
    """Lines of a few findings, and some that tell none."""
    lines = read()
    few = sorted({finding for line in lines for finding in line.labels})[::12]
    return [line for line in lines if line.labels and line.labels.keys() <= {*few}] + [*filter(_tells_nothing, lines)][
        ::9
    ]


def _tells_nothing(line: Line) -> bool:
    return not line.labels


@pytest.fixture(scope="module")
def taught(some: list[Line], tmp_path_factory: pytest.TempPathFactory) -> Model:
    """A reader that got a file of sentences more."""
    folder = tmp_path_factory.mktemp("corpus")
    rows = [f"9{k % 3}\ten\tjob\t{text}\t{NEW}={state}" for k, (text, state) in enumerate(SENTENCES)]
    (folder / "new.tsv").write_text("\n".join(rows), "utf-8")
    model, _ = train([*some, *read(folder)])
    return model


def test_the_corpus_is_what_it_says(some: list[Line]) -> None:
    lines = read()
    assert len(lines) >= 15_800
    assert {line.language for line in lines} == {"en", "es"}
    assert {line.style for line in lines} == {"phone", "job", "teardown", "order"}
    assert len({line.text.lower() for line in lines}) >= 0.999 * len(lines)  # a few short ones occurred to two writers
    assert all(2 <= len(line.text) <= 400 for line in some)


def test_a_new_finding_needs_sentences_only(taught: Model) -> None:
    best = max(taught.hear("the belt is slipping"), key=lambda heard: heard.spoken)
    assert (best.finding, best.outcome) == (NEW, "present")
    assert NEW not in {heard.finding for heard in taught.hear("oil black and burnt")}


def test_the_same_sentences_give_the_same_bytes(some: list[Line]) -> None:
    few = some[::4]
    assert packed(train(few)[0]) == packed(train(few)[0])


def test_a_writer_is_never_divided(some: list[Line]) -> None:
    seen = {(line.writer, fold) for line, fold in zip(some, folds(some), strict=True)}
    assert len(seen) == len({line.writer for line in some})
    assert len({fold for _, fold in seen}) == 4


def test_writers_of_few_lines_take_turns(some: list[Line]) -> None:
    few = [Line(f"9{k}", "en", "job", f"belt {k}", {}) for k in range(4)]
    assert sorted(folds([*some, *few])[-4:]) == [0, 1, 2, 3]


def test_lines_are_run_together_by_one_writer_and_tell_nothing_twice(some: list[Line]) -> None:
    notes = joined(some, 0.5)
    assert len(notes) > len(some) / 10
    assert notes == joined(some, 0.5)
    texts = {(line.writer, line.style) for line in some}
    assert {(note.writer, note.style) for note in notes} <= texts
    assert all(len(note.text.split()) <= 50 for note in notes)
    assert not {note.text for note in notes} & {line.text for line in some}


def test_all_danger_is_learned_as_one() -> None:
    line = Line(
        "01", "en", "job", "no smoke, but sparks, breaker trips", {"smoke-seen": "absent", "sparks-seen": "present"}
    )
    assert with_danger(line).labels[DANGER] == "present"
    assert DANGER not in with_danger(Line("01", "en", "job", "oil black", {"oil-burnt": "present"})).labels


def test_what_is_written_is_read_again(taught: Model, some: list[Line], tmp_path: Path) -> None:
    (tmp_path / "knowledge").mkdir()
    write(taught, some, tmp_path)
    assert {file.name for file in (tmp_path / "knowledge").iterdir()} == {"notes-model.json", "notes-model.npz"}


def test_a_score_counts_inversions_and_what_is_not_of_now() -> None:
    labels = {"a": "present", "b": "absent", "c": "history", "d": "low"}
    score = of_line(labels, {"a": "absent", "b": "present", "c": "present", "d": "low", "e": "doubt"})
    assert (score.told, score.given, score.right) == (3, 4, 1)
    assert (score.alarms_denied, score.denials_alarmed) == (1, 1)
    assert (score.spoken, score.named, score.both) == (4, 5, 4)
    assert score + Score() == score


def test_wilson_intervals() -> None:
    """0 of 300 is at most 1.3 %; Wilson (1927), worked by hand."""
    assert wilson(0, 300)[1] == pytest.approx(0.01264, abs=1e-5)
    assert wilson(0, 0) == (0.0, 1.0)
    assert shown((1, 2)) == "0.500 (0.095 to 0.905; 1 of 2)"


def test_reliability_bins_and_their_picture() -> None:
    bins = reliability([(0.95, True), (0.97, True), (1.0, False), (0.1, False)])
    assert [(right, count) for _, right, count in bins] == [(0, 1), (2, 3)]
    assert [mean for mean, _, _ in bins] == pytest.approx([0.1, 0.97333], abs=1e-4)
    assert picture(bins).count("<circle") == 2
