"""Gates under other seeds: every generator is shifted, and what failed under one of them is told."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest

from tests.evaluation import seeds, shifted
from tests.evaluation.seeds import FILES, ROOT, Run, main, page, tried
from tests.evaluation.shifted import moved, with_shift

TEST = """
import numpy as np
def test_lucky():
    assert np.random.default_rng(1).random() == np.random.Generator(np.random.PCG64(1)).random()
def test_sound():
    assert 0.4 < np.random.default_rng(1).random(10_000).mean() < 0.6
"""


@pytest.mark.parametrize("seed", [7, np.int64(7), (1, 2), [1, 2], "name"])
def test_every_shift_is_another_seed_and_none_is_reached_by_counting(seed: object) -> None:
    apart = [str(moved(seed, by)) for by in range(1, 21)]
    assert len({str(seed), *apart}) == 21
    if isinstance(seed, int):
        assert not {moved(s, 1) for s in range(10_000)} & {moved(s, 2) for s in range(10_000)}


def test_a_shifted_generator_draws_otherwise_and_the_same_each_time() -> None:
    make = with_shift(np.random.default_rng, 3)
    assert make(1).random() == make(1).random() != np.random.default_rng(1).random()
    assert make().random() != make().random()


def test_no_shift_leaves_the_seeds_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    usual, other = np.random.default_rng, random.Random
    monkeypatch.setattr(np.random, "default_rng", usual)
    monkeypatch.setattr(random, "Random", other)
    shifted.shift(0)
    assert (np.random.default_rng, random.Random) == (usual, other)
    shifted.shift(2)
    assert np.random.default_rng(1).random() != usual(1).random()
    assert random.Random(1).random() != other(1).random()  # noqa: S311 - of a test
    assert random.Random("a").random() == random.Random("a").random()  # noqa: S311 - of a test


def test_a_test_that_rests_on_luck_is_told(tmp_path: Path) -> None:
    (tmp_path / "conftest.py").write_text(
        f"import os, sys\nsys.path.insert(0, {str(ROOT)!r})\nfrom tests.evaluation import shifted\n"
        "shifted.shift(int(os.environ[shifted.VARIABLE]))\n"
    )
    (tmp_path / "test_luck.py").write_text(TEST)
    assert tried("test_luck.py", 0, tmp_path) == Run("test_luck.py", 0, 2, ())
    assert tried("test_luck.py", 4, tmp_path) == Run("test_luck.py", 4, 1, ("test_lucky",))
    with pytest.raises(RuntimeError):
        tried("test_nothing.py", 1, tmp_path)


def test_what_is_kept_is_not_run_again_and_the_time_is_bounded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked: list[tuple[str, int]] = []

    def run(file: str, seed: int) -> Run:
        asked.append((file, seed))
        return Run(file, seed, 5, ("test_a",) if seed == 2 else ())

    monkeypatch.setattr(seeds, "tried", run)
    kept = ["--kept", str(tmp_path / "kept" / "runs.jsonl")]
    assert main(["a.py", "b.py", "--seeds", "1", *kept]) == 0
    assert main(["a.py", "b.py", "--seeds", "3", *kept]) == 1
    assert asked == [(file, seed) for seed in (1, 2, 3) for file in ("a.py", "b.py")]
    assert main(["a.py", "c.py", "--minutes", "0", *kept]) == 1
    told = capsys.readouterr().out.splitlines()
    assert told[-2:] == ["| a.py | 3 of 20 | 5 | test_a 1 |", "| c.py | 0 of 20 | 0 | not tried |"]


def test_every_file_is_there_and_a_row_of_the_page() -> None:
    assert [file for file in FILES if not (ROOT / file).exists()] == []
    assert len(page([], FILES, 20).splitlines()) == len(FILES) + 2
