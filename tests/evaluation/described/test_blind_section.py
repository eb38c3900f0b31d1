"""The section on made-up counts, by hand; and what the page says against what is kept."""

from __future__ import annotations

from tests.evaluation import texts
from tests.evaluation.described import blind_section
from tests.evaluation.described.test_totals import release
from tests.evaluation.page import PAGE, section, with_blind
from tests.evaluation.vacuum.score import Share


def test_nothing_scored_is_said() -> None:
    assert blind_section.text(()) == texts.BLIND_UNSCORED


def test_nothing_scored_of_the_later_ones_is_said() -> None:
    assert blind_section.later(()) == texts.LATER_UNSCORED


def test_nothing_scored_of_the_last_ones_is_said() -> None:
    assert blind_section.further(()) == texts.FURTHER_UNSCORED


def test_sets_are_put_together_case_by_case() -> None:
    """Mode first by hand: 4 of 12 and 4 of 4 are 8 of 16; the other is right 0 times of 16 and 2 among three."""
    sets = (release(), "all"), (release(), "published")
    cases = release().cases | {"a real event": 9, "published, a real event": 2}
    counted = tuple((one.model_copy(update={"cases": cases}), group) for one, group in sets)
    assert blind_section.pooled(sets, "the answer", "mode", "first") == Share(8, 16)
    found = blind_section.newly(counted)
    assert "25 descriptions of 11 real events and 14 made up or general ones" in found
    assert "| mode | first | 8 of 16 (0.25 to 0.75) | 0 of 16 (0.00 to 0.21) |" in found
    assert "| cause | among three | 8 of 16 (0.25 to 0.75) | 2 of 16 (0.02 to 0.38) |" in found


def test_shares_are_shown_with_their_intervals() -> None:
    """Clopper & Pearson 1934 of 3 of 12: 0.055 to 0.572; of 4 of 4: the lower end is 0.025 ** (1 / 4) = 0.398."""
    assert blind_section.shown(Share(3, 12)) == "3 of 12 (0.05 to 0.57)"
    assert blind_section.shown(Share(4, 4)) == "4 of 4 (0.40 to 1.00)"
    assert blind_section.shown(Share(0, 0)) == "-"


def test_every_group_and_layer_with_a_column_for_each_who_answers() -> None:
    head, _, *found = blind_section.ranked(release(), "among_three").splitlines()
    assert head == "| group | layer | the answer | naive Bayes |"
    assert found[0] == "| all | mode | 4 of 12 (0.10 to 0.65) | 1 of 12 (0.00 to 0.38) |"
    assert len(found) == 4


def test_an_aim_is_missed_or_reached_and_the_lower_end_is_held_against_the_others() -> None:
    found = blind_section.aims(release()).splitlines()[2:]
    assert found[0] == "| all | mode first | ≥ 0.85 | 0.33 | **missed** | 0.00: yes |"
    assert found[1] == "| all | mode among three | ≥ 0.95 | 0.33 | **missed** | 0.08: yes |"
    assert found[4] == "| published | mode first | ≥ 0.85 | 1.00 | reached | 0.00: yes |"
    close = release().model_copy(update={"hits": [one.model_copy(update={"first": 2}) for one in release().hits]})
    assert blind_section.aims(close).splitlines()[2].endswith("| 0.17: **no** |")


def test_five_rates_and_verdicts() -> None:
    assert "| all | 12 | 75% (47% to 91%) |" in blind_section.five(release())
    assert "| a compressor fault | diagnosed | 12 | 9 |" in blind_section.told(release())


def test_left_in_peace_is_a_quiet_verdict_and_no_stop_order() -> None:
    """Of six with nothing wrong five hear a quiet verdict, one of them with a stop order; a candidate is no peace."""
    said, peace = blind_section.left_in_peace(release(), "nothing wrong")
    assert (said, peace) == (Share(5, 6), Share(4, 6))
    assert "| a sound compressor, the fault elsewhere | - | - |" in blind_section.quiet(release())


def test_the_section_names_what_was_scored_and_when() -> None:
    text = blind_section.text([release("1.2.2"), release()])
    assert "version 1.2.3 on 3 February 2031, knowledge `aa`, decided by data `bb`" in text.replace("\n", " ")
    assert blind_section.second() in text


def test_the_page_holds_the_section_of_what_is_kept() -> None:
    """`python -m tests.evaluation --sealed` puts it there."""
    page = PAGE.read_text("utf-8")
    found = section(page, blind_section.LATER_TITLE).strip()
    assert found == f"## {blind_section.LATER_TITLE}\n\n{blind_section.later()}".strip()
    found = section(page, blind_section.FURTHER_TITLE).strip()
    assert found == f"## {blind_section.FURTHER_TITLE}\n\n{blind_section.further()}".strip()
    assert section(page, blind_section.TITLE).strip() == f"## {blind_section.TITLE}\n\n{blind_section.text()}".strip()
    assert with_blind(page) == page


def test_the_section_is_put_where_it_was_and_before_the_readings() -> None:
    rest = "## Simulated readings of an air conditioner\n\nrest\n"
    once = with_blind(f"# Title\n\npart\n\n{rest}")
    assert once.startswith(f"# Title\n\npart\n\n## {blind_section.TITLE}\n")
    assert once.endswith(f"\n\n{rest}")
    old = once.replace(blind_section.text(), "what was kept before")
    assert with_blind(old) == once
