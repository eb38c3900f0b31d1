"""The comparison says what a change of the knowledge does to the verdicts."""

from __future__ import annotations

from pathlib import Path

from tests.diagnosis.review.conftest import row, spoil

from witnessmark.diagnosis.catalogue.knowledge import shipped
from witnessmark.diagnosis.review.case_set import read_cases
from witnessmark.diagnosis.review.comparison import Change, check, compare
from witnessmark.diagnosis.review.lint import review

CASES = Path(__file__).parents[1] / "cases"


def test_nothing_changes_against_itself() -> None:
    assert compare(shipped(), shipped(), read_cases(CASES)[:5]) == ()


def test_a_changed_row_shows_in_the_verdicts(folder: Path, tmp_path: Path) -> None:
    """Take the teardown signs of one mode away and the cases that rest on them move."""
    line = row("links-mode-finding", '{ mode = "reverse-rotation", finding = "loud-from-start"')
    spoil(folder, "links-mode-finding", line, line.replace("0.88", "0.03"))
    line = row("links-mode-finding", '{ mode = "reverse-rotation", finding = "no-pressure-difference"')
    spoil(folder, "links-mode-finding", line, line.replace("0.9", "0.03"))
    text = (CASES / "published-running.toml").read_text("utf-8")
    first = next(part for part in text.split("[[case]]") if 'id = "reverse-by-blink"' in part)
    (tmp_path / "few").mkdir()
    (tmp_path / "few" / "one.toml").write_text("[[case]]" + first, "utf-8")
    texts, sound = check(folder, shipped(), tmp_path / "few")
    assert sound
    assert "changed on the case set: 1\nreverse-by-blink: " in texts


def test_check_without_a_comparison_is_the_lint_alone() -> None:
    assert check(shipped()) == (review(shipped()).text, True)


def test_check_of_unusable_knowledge_stops_at_the_errors(folder: Path) -> None:
    (folder / "modes.toml").unlink()
    text, sound = check(folder, shipped(), CASES)
    assert not sound
    assert text.splitlines()[-1] == "figures: none read"
    assert "changed on the case set" not in text


def test_a_change_reads_in_one_line() -> None:
    change = Change("a", ("diagnosed", "slugging", 0.912), ("not-enough-evidence", "wear-out", 0.3))
    assert change.text == "a: diagnosed, slugging 0.91 -> not-enough-evidence, wear-out 0.30"
