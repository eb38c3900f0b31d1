"""The readable page says what the data say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from witnessmark.diagnosis import page
from witnessmark.diagnosis.catalogue.knowledge import knowledge

PAGE = Path(__file__).parents[2] / "docs" / "KNOWLEDGE.md"


def test_the_page_in_the_repository_is_the_one_the_data_make() -> None:
    """After a change of the knowledge run `python -m witnessmark.diagnosis.page`."""
    assert PAGE.read_text("utf-8") == page.render(knowledge())


def test_every_row_with_a_figure_stands_on_the_page() -> None:
    known, text = knowledge(), page.render(knowledge())
    rows = sum(1 for line in text.splitlines() if line.startswith("| ") and not line.startswith("| ---"))
    links = len(known.links)
    assert rows > links + len(known.findings) + len(known.contexts) + len(known.conflicts)
    for key in (*known.modes, *known.causes, *known.findings, *known.normals, *(rule.id for rule in known.safety)):
        assert key in text


def test_write_puts_it_where_it_is_told(tmp_path: Path) -> None:
    page.write(tmp_path / "page.md")
    assert (tmp_path / "page.md").read_text("utf-8") == page.render(knowledge())


def test_a_finding_without_a_check_and_a_cell_with_a_bar_stay_readable() -> None:
    known = knowledge()
    finding = known.findings["oil-burnt"].model_copy(update={"check": None, "rationale": "this | that"})
    text = page.render(replace(known, findings={**known.findings, "oil-burnt": finding}))
    line = next(line for line in text.splitlines() if line.startswith("| Oil black"))
    assert "this \\| that" in line or "this \\| that" in text
