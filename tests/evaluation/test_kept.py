"""Runs that are kept: read back as they were, used again, and never those of other knowledge."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from tests.evaluation import kept
from tests.evaluation.test_page import sample
from witnessmark import data
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.outcomes import Outcome
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.scenarios import SEED, Sizes


def test_a_run_is_read_as_it_was_kept(tmp_path: Path) -> None:
    made = sample(good=False)
    kept.keep(tmp_path / "run.npz", made)
    again = kept.read(tmp_path / "run.npz")
    assert list(again.outcomes) == list(made.outcomes)
    for name, outcome in made.outcomes.items():
        for column in fields(Outcome):
            assert np.array_equal(getattr(again.outcomes[name], column.name), getattr(outcome, column.name))
    assert (again.trials.proposed == made.trials.proposed).all()
    assert (again.broken, again.unheeding, again.checked) == (made.broken, made.unheeding, made.checked)
    assert [file.name for file in tmp_path.iterdir()] == ["run.npz"]


def test_what_is_kept_is_not_done_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done = []

    def run(_pool: Pool, _sizes: Sizes, seed: int) -> object:
        done.append(seed)
        return sample(good=True)

    monkeypatch.setattr(kept, "run", run)
    pool, three = Pool(knowledge()), Sizes(8, 4, 5, 3)
    assert len(kept.runs(pool, Sizes(8, 4, 5, 1), tmp_path)) == 1
    assert len(kept.runs(pool, three, tmp_path, only_kept=True)) == 1
    assert len(kept.runs(pool, three, tmp_path)) == 3
    assert done == [SEED, SEED + 1, SEED + 2]
    assert len(kept.runs(pool, Sizes(8, 5, 5, 3), tmp_path, minutes=0.0)) == 1, "the time is over: one, and no more"
    done.pop()
    assert kept.runs(pool, Sizes(9, 4, 5, 3), tmp_path, only_kept=True) == ()
    monkeypatch.setattr(kept, "digest", lambda: "another")
    assert kept.runs(pool, three, tmp_path, only_kept=True) == ()


def test_the_digest_is_of_knowledge_and_reasoning(monkeypatch: pytest.MonkeyPatch) -> None:
    now = kept.digest()
    assert kept.digest() == now
    monkeypatch.setattr(data, "version", lambda _part: "other knowledge")
    assert kept.digest() != now
    monkeypatch.undo()
    monkeypatch.setattr(kept, "PARTS", kept.PARTS[1:])
    assert kept.digest() != now


WORDS = {"apart", "danger", "errands", "explained", "facts", "language", "notes-model", "numbers", "orders", "phrases"}
WORDS |= {"portuguese", "protector", "rooms", "scenes", "scope", "spanish", "dispatch", "triage"}


def test_every_table_either_decides_what_becomes_of_a_machine_or_holds_words_of_notes_and_dispatch() -> None:
    tables = {path for path in data.shipped() if path.startswith("diagnosis/knowledge/")}
    deciding = {path for path in tables if path.startswith(kept.NO_WORDS)}
    assert {Path(path).stem for path in tables - deciding} == WORDS
    assert len(deciding) >= 13
