"""What the command line draws and shows."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.mutation.__main__ import arguments, drawn, main, source
from tests.mutation.bench import Bench, Outcome, RedError
from tests.mutation.results import Results

WORDS = ["--module", "restart/context.py", "--sample", "9"]


def test_shares_are_parts_of_one_sample() -> None:
    whole = drawn(arguments(WORDS))
    parts = [drawn(arguments([*WORDS, "--share", f"{i}/3"])) for i in (1, 2, 3)]
    assert len(whole) == 9
    assert sorted(m.key for part in parts for m in part) == sorted(m.key for m in whole)


def test_package_and_kind_narrow_the_sample() -> None:
    sample = drawn(arguments(["--package", "restart", "--kind", "boundary", "--sample", "5"]))
    assert {(m.kind, m.module.split("/")[0]) for m in sample} == {("boundary", "restart")}


def test_the_list_shows_what_is_known_and_what_is_not(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "results.jsonl"
    first, second, *_ = drawn(arguments(WORDS))
    results = Results(path, source)
    results.add(first, Outcome(killed=True, by="mirror", test="t", seconds=1.0))
    assert main([*WORDS, "--list", "--results", str(path)]) == 0
    text = capsys.readouterr().out
    assert "1 tried, 8 left" in text
    assert text.count("untried") == 8
    results.add(second, Outcome(killed=False, by="all", test=None, seconds=1.0))
    assert main([*WORDS, "--list", "--results", str(path)]) == 1  # 1 of 2 is more than 10 %
    assert main([*WORDS, "--list", "--results", str(path), "--most", "0.5"]) == 0


def test_what_is_known_is_not_tried_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "results.jsonl"
    results = Results(path, source)
    for mutant in drawn(arguments(WORDS)):
        results.add(mutant, Outcome(killed=True, by="mirror", test="t", seconds=1.0))
    assert main([*WORDS, "--results", str(path)]) == 0
    assert "9 tried, 0 left" in capsys.readouterr().out


def test_no_mutant_is_started_after_the_time(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*WORDS, "--minutes", "0", "--results", str(tmp_path / "results.jsonl")]) == 0
    assert "0 tried, 9 left" in capsys.readouterr().out


def test_what_cannot_be_judged_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def red(*_: object, **__: object) -> Outcome:
        raise RedError("tests/restart/test_gate.py fails without a mutant")

    monkeypatch.setattr(Bench, "copied", lambda *_: Bench(tmp_path, 0))
    monkeypatch.setattr(Bench, "judged", red)
    assert main([*WORDS, "--results", str(tmp_path / "results.jsonl")]) == 0
    shown = capsys.readouterr().out
    assert shown.count("fails without a mutant") == 9
    assert "0 tried, 9 left" in shown


def test_the_help_teaches(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    text = capsys.readouterr().out
    for word in ("--sample", "--seed", "--minutes", "--package", "--module", "--list", "--rerun-survivors", "proof"):
        assert word in text
