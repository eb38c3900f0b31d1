"""The readable pages say what the data say."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from witnessmark.diagnosis import page
from witnessmark.diagnosis.catalogue.knowledge import knowledge


def test_every_row_with_a_figure_stands_on_a_page() -> None:
    known, text = knowledge(), "\n".join(page.pages(knowledge()).values())
    rows = sum(1 for line in text.splitlines() if line.startswith("| ") and not line.startswith("| ---"))
    assert rows > len(known.links) + len(known.findings) + len(known.contexts) + len(known.conflicts)
    for key in (*known.modes, *known.causes, *known.findings, *known.normals, *(rule.id for rule in known.safety)):
        assert f"`{key}`" in text or f"**{key}**" in text, key


def test_every_mode_cause_and_group_has_a_page_that_a_list_leads_to() -> None:
    known, pages = knowledge(), page.pages(knowledge())
    listed = {name for text in pages.values() for block in re.findall(r"```{toctree}(.*?)```", text, re.DOTALL)
              for name in block.split("\n\n", 1)[1].split()}  # fmt: skip
    assert listed == set(pages) - {"index"}
    assert {f"mode-{key}" for key in known.modes} | {f"cause-{key}" for key in known.causes} <= listed
    assert {finding.group for finding in known.findings.values()} == set(page.GROUPS)


def test_every_link_leads_to_a_page() -> None:
    pages = page.pages(knowledge())
    targets = {target for text in pages.values() for target in re.findall(r"\]\(([a-z0-9-]+)\.md\)", text)}
    assert len(targets) > len(knowledge().modes)
    assert targets <= set(pages)


def test_a_mode_names_what_brings_it_about_and_what_is_found() -> None:
    text = page.pages(knowledge())["mode-flooded-start"]
    assert text.startswith("# Flooded start after migration\n")
    assert "[Crankcase heater dead or switched on too late](cause-heater-off.md)" in text
    assert "](findings-oil.md) (`oil-thin-and-foaming`)" in text


def test_write_puts_them_where_it_is_told(tmp_path: Path) -> None:
    page.write(tmp_path / "below" / "here")
    written = {path.stem: path.read_text("utf-8") for path in (tmp_path / "below" / "here").iterdir()}
    assert written == page.pages(knowledge())


def test_a_finding_without_a_check_and_a_cell_with_a_bar_stay_readable() -> None:
    known = knowledge()
    finding = known.findings["oil-burnt"].model_copy(update={"check": None, "rationale": "this | that"})
    text = page.pages(replace(known, findings={**known.findings, "oil-burnt": finding}))["findings-oil"]
    line = next(line for line in text.splitlines() if line.startswith("| Oil black"))
    assert "this \\| that" in line
    assert "| none |" in line


def test_a_key_that_is_neither_mode_nor_cause_stays_a_key() -> None:
    assert page._linked(knowledge(), "no-compressor-fault") == "`no-compressor-fault`"  # noqa: SLF001 - no page leads there


def test_a_mode_that_nothing_known_brings_about_has_no_table_of_origins() -> None:
    known = replace(knowledge(), cause_mode=(), mode_mode=())
    assert not [*page._origins(known, next(iter(known.modes.values())))]  # noqa: SLF001 - one part of a page
