"""The lint finds what is wrong with knowledge."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.diagnosis.review.conftest import row, spoil

from witnessmark.diagnosis.catalogue.knowledge import knowledge, shipped
from witnessmark.diagnosis.review.lint import (
    LIVE_CAUTIONS,
    OPENING_CAUTIONS,
    review,
    separation,
    signs_of,
    trust_counts,
)
from witnessmark.reference import cautions, sources


def test_the_shipped_knowledge_has_no_errors() -> None:
    assert review(shipped()).errors == ()


def test_the_shipped_knowledge_has_only_the_doubts_that_are_known() -> None:
    """Both causes show themselves by what they bring about, hardly by a trace of their own."""
    assert {line.split(":")[0] for line in review(shipped()).doubts} <= {"wrong-oil-charged", "manufacturing-defect"}


def test_an_orphan_finding_is_an_error(folder: Path) -> None:
    for name in ("links-mode-finding", "links-cause-finding"):
        file = folder / f"{name}.toml"
        kept = [line for line in file.read_text("utf-8").splitlines() if '"bearing-fluted"' not in line]
        file.write_text("\n".join(kept), "utf-8")
    assert any("bearing-fluted" in line and "nothing leads" in line for line in review(folder).errors)


def test_a_missing_source_is_an_error(folder: Path) -> None:
    spoil(folder, "links-cause-mode", 'source = "elicited"', 'source = "hearsay"')
    assert any("hearsay" in line for line in review(folder).errors)


def test_a_number_never_reviewed_is_an_error(folder: Path) -> None:
    spoil(folder, "modes", 'reviewed = "2026-11"', 'reviewed = ""')
    (error,) = review(folder).errors
    assert error.startswith("modes.toml: mode 1, reviewed: ")


def test_a_pair_that_no_machine_can_have_is_an_error(folder: Path) -> None:
    line = row("links-mode-finding", '{ mode = "slugging", finding = "reed-broken"')
    spoil(folder, "links-mode-finding", line, line + "\n" + line.replace('"slugging"', '"broken-scroll"'))
    assert review(folder).errors == ("broken-scroll -> reed-broken: no machine can have both",)


def test_a_reading_that_bears_on_no_finding_is_an_error(folder: Path) -> None:
    spoil(folder, "readings", 'finding = "discharge-temperature-high"', 'finding = "apparent-charm"')
    assert review(folder).errors == ("reading discharge-temperature: unknown finding apparent-charm",)


def test_a_reading_that_cannot_be_read_is_an_error(folder: Path) -> None:
    spoil(folder, "readings", "process = 1.5", "process = 0.0")
    (error,) = review(folder).errors
    assert error.startswith("readings.toml: reading 1, process: ")


def test_a_context_must_not_give_way_to_what_says_nothing_of_its_target(folder: Path) -> None:
    spoil(folder, "contexts", 'same_as = "high-hours"', 'same_as = "oil-added"')
    assert review(folder).errors == ("context age over-10-years: oil-added says nothing of age-and-hours",)
    spoil(folder, "contexts", 'same_as = "oil-added"', 'same_as = "hearsay"')
    assert review(folder).errors == ("contexts: unknown id hearsay",)


def test_silence_must_not_speak_for_the_abnormal(folder: Path) -> None:
    line = row("findings", "mention.note")
    spoil(folder, "findings", line, "mention.note = { present = 0.1, absent = 0.2 }")
    assert any("absent than when present (note)" in error for error in review(folder).errors)


@pytest.mark.parametrize(
    ("finding", "hazards", "words"),
    [
        ("voltage-unbalance", 'hazards = ["live-measurement"]', "energised"),
        ("suction-screen-plugged", 'hazards = ["cut-open-shell", "burnout-oil-acid"]', "opens the circuit"),
    ],
)
def test_a_dangerous_check_needs_its_caution(folder: Path, finding: str, hazards: str, words: str) -> None:
    text = (folder / "findings.toml").read_text("utf-8")
    before, after = text.split(f'id = "{finding}"', 1)
    assert hazards in after
    (folder / "findings.toml").write_text(
        f'{before}id = "{finding}"{after.replace(hazards, "hazards = []", 1)}', "utf-8"
    )
    assert any(finding in error and words in error for error in review(folder).errors)


def test_two_modes_alike_are_doubted(folder: Path) -> None:
    """A mode with the signs of another one cannot be told from it."""
    file = folder / "links-mode-finding.toml"
    lines = [line for line in file.read_text("utf-8").splitlines() if 'mode = "wrong-oil"' not in line]
    twins = [line.replace('"moisture-acid"', '"wrong-oil"') for line in lines if 'mode = "moisture-acid"' in line]
    file.write_text("\n".join([*lines[:-1], *twins, lines[-1]]), "utf-8")
    spoil(folder, "links-cause-finding", 'finding = "oil-wrong-type"', 'finding = "oil-wrong-type"')
    assert "moisture-acid and wrong-oil: the best finding separates them by 0.0 dB only" in review(folder).doubts


def test_a_mode_without_a_telling_finding_is_doubted(folder: Path) -> None:
    line = row("links-mode-finding", '{ mode = "bearing-current", finding = "bearing-fluted"')
    spoil(folder, "links-mode-finding", line, line.replace("0.9", "0.3"))
    line = row("links-mode-finding", '{ mode = "bearing-current", finding = "bearing-whine"')
    spoil(folder, "links-mode-finding", line, line.replace("0.75", "0.3"))
    line = row("links-mode-finding", '{ mode = "bearing-current", finding = "main-bearing-worn"')
    spoil(folder, "links-mode-finding", line, line.replace("0.5", "0.3"))
    assert "bearing-current: no finding shows it at least every second time" in review(folder).doubts


def test_expecting_what_excludes_itself_is_doubted(folder: Path) -> None:
    line = row("links-mode-finding", '{ mode = "oil-starvation", finding = "wear-uniform-dry"')
    washed = line.replace('"wear-uniform-dry"', '"bearings-washed-bright"')
    spoil(folder, "links-mode-finding", line, line + "\n" + washed)
    assert any("oil-starvation: expects" in line and "exclude each other" in line for line in review(folder).doubts)


def test_a_definition_that_is_often_reported_for_nothing_is_an_error(folder: Path) -> None:
    text = (folder / "findings.toml").read_text("utf-8")
    before, after = text.split('id = "charge-over"', 1)
    line = next(line for line in after.splitlines() if line.startswith("reliability"))
    changed = after.replace(line, "reliability = 0.95", 1)
    (folder / "findings.toml").write_text(f'{before}id = "charge-over"{changed}', "utf-8")
    (error,) = review(folder).errors
    assert error.startswith("charge-over: defines overcharge, yet is often reported for nothing")


def test_gaps_in_service_are_doubted(folder: Path) -> None:
    file = folder / "dispatch.toml"
    gone = ('mode = "wear-out"', 'cause = "surge"')
    advice = file.read_text("utf-8").split("[[advice]]")
    file.write_text("[[advice]]".join(first for first in advice if not any(line in first for line in gone)), "utf-8")
    for road in ('{ cause = "reversed-supply"', '{ cause = "rapid-re-power", mode = "reverse-rotation"'):
        spoil(folder, "links-cause-mode", row("links-cause-mode", road), "")
    text = (folder / "findings.toml").read_text("utf-8")
    before, after = text.split('id = "oil-burnt"', 1)
    rest = after[after.index("[[finding]]") :]
    kept = after[: after.index("[finding.check]")]
    (folder / "findings.toml").write_text(f'{before}id = "oil-burnt"{kept}{rest}', "utf-8")
    doubts = review(folder).doubts
    assert "wear-out: nobody is told what to send" in doubts
    assert "surge: nobody is told what to send" in doubts
    assert "reverse-rotation: nothing leads to it" in doubts
    assert "oil-burnt: nobody is told how to check it" in doubts


def test_wrong_reports_more_frequent_than_the_background_are_doubted(folder: Path) -> None:
    text = (folder / "findings.toml").read_text("utf-8")
    before, after = text.split('id = "wraps-shattered"', 1)
    line = next(line for line in after.splitlines() if line.startswith("reliability"))
    spoiled = after.replace(line, "reliability = 0.9", 1)
    (folder / "findings.toml").write_text(f'{before}id = "wraps-shattered"{spoiled}', "utf-8")
    assert any(line.startswith("wraps-shattered: reported wrongly 0.100") for line in review(folder).doubts)


def test_figures_are_counted_by_trust() -> None:
    counts = trust_counts(knowledge())
    assert counts["expert estimate"] > 500
    assert set(counts) <= {source.trust for source in sources().values()}
    assert review(shipped()).text.splitlines()[-1].startswith("figures: ")


def test_separation_is_the_best_single_finding_in_decibans() -> None:
    """Worked by hand: fluting 0.95 against a background of 5.6e-5 is 10 log10(16964) = 42.3 dB."""
    known = knowledge()
    first, other = signs_of("bearing-current", known.mode_finding), signs_of("wear-out", known.mode_finding)
    assert separation(known, first, other) == pytest.approx(42.30, abs=0.01)
    assert separation(known, {}, {}) == 0.0


def test_live_cautions_exist() -> None:
    assert set(cautions()) >= LIVE_CAUTIONS


@pytest.mark.parametrize(
    ("name", "old", "new", "fault"),
    [
        ("phrases", "tight = true", "tight = 3", "phrases.toml: phrase"),
        ("phrases", 'findings = ["oil-burnt"]', 'findings = ["oil-charmed"]', "unknown finding oil-charmed"),
        ("decisions", "diagnosed = 0.8", "diagnosed = true", "decisions.toml: verdict, diagnosed"),
        ("decisions", "shift = 10.0", "drift = 10.0", "decisions.toml: verdict, drift"),
    ],
)
def test_wording_and_figures_of_the_folder_are_linted(folder: Path, name: str, old: str, new: str, fault: str) -> None:
    """Wrong answer: a folder passes whose wording or thresholds the service would refuse to start with."""
    assert review(folder).errors == ()
    spoil(folder, name, old, new)
    assert any(fault in error for error in review(folder).errors)


def test_a_pattern_with_an_undefined_concept_is_an_error(folder: Path) -> None:
    text = (folder / "phrases.toml").read_text("utf-8")
    (folder / "phrases.toml").write_text(text.replace("\nOIL = ", "\nOYL = ", 1), "utf-8")
    assert any("concept OIL, which is not defined" in error for error in review(folder).errors)


def test_a_folder_need_not_have_wording_or_figures(small_folder: Path) -> None:
    assert not any("phrases" in error or "decisions" in error for error in review(small_folder).errors)


def test_cautions_for_open_circuits_and_live_parts_are_those_of_the_catalogue() -> None:
    """Each is a caution that can be shown, and none is for both."""
    assert set(cautions()) >= OPENING_CAUTIONS | LIVE_CAUTIONS
    assert not OPENING_CAUTIONS & LIVE_CAUTIONS
