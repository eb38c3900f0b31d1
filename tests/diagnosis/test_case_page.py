"""The page of the case set, on a few cases."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from witnessmark.diagnosis.case_page import render, write
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.review.case_set import read_cases, run

FOLDER = Path(__file__).parent / "cases"


def test_misses_are_shown() -> None:
    case = next(first for first in read_cases(FOLDER) if first.id == "reverse-by-wiring")
    (right,) = run([case], diagnose)
    wrong = replace(right, described=replace(case, modes=("wear-out",), causes=("surge",), verdicts=("does-not-fit",)))
    unsafe = replace(wrong, answer=replace(wrong.answer, safety=()))
    assert render([right]).rstrip().endswith("|  |")
    assert render([unsafe]).rstrip().endswith("| mode, cause, restraint, safety |")


def test_write_runs_the_cases_of_a_folder(tmp_path: Path) -> None:
    text = (FOLDER / "constructed-two-causes.toml").read_text("utf-8")
    (tmp_path / "few.toml").write_text(text, "utf-8")
    write(tmp_path, tmp_path / "page.md")
    page = (tmp_path / "page.md").read_text("utf-8")
    assert "leak-and-restriction" in page
    assert "not accuracy in the field" in page
