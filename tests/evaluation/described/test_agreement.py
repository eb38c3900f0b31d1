"""The tables of described cases on hand-made answers, and the cases as worded against what the catalogue knows."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from tests.evaluation.described import agreement, section, worded
from tests.evaluation.described.__main__ import KNOWN, TEACHING
from tests.evaluation.described.described import HERE
from tests.evaluation.measures import CASES
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.review.case_set import Outcome, read_cases
from witnessmark.reference import source


@cache
def answered() -> tuple[Outcome, ...]:
    return agreement.answered(worded.cases(), knowledge())


def one(key: str) -> Outcome:
    return next(o for o in answered() if o.described.id == key)


def with_expected(outcome: Outcome, *modes: str) -> Outcome:
    return replace(outcome, described=replace(outcome.described, modes=modes))


def test_counts_by_hand() -> None:
    """Three cases of which two expect what leads, and one what does not: 2 of 3; Wilson 0.21 to 0.94."""
    lead = one("nine-weak-valves").top
    others = [with_expected(one("nine-weak-valves"), mode) for mode in (lead, lead, "bearing-current")]
    assert agreement.counted(agreement.first(others, "modes")) == "2 of 3 (0.21 to 0.94)"
    assert agreement.counted(agreement.commonest(others, "modes")) == "2 of 3 (0.21 to 0.94)"
    assert agreement.counted(agreement.first([], "modes")) == "-"
    assert agreement.commonest([], "causes").sample == 0
    chance = others[0].answer.modes[0].probability
    assert agreement.brier(others).value == pytest.approx((2 * (1 - chance) ** 2 + chance**2) / 3)
    assert math.isnan(agreement.brier([]).value)


def test_what_must_not_be_diagnosed_and_what_is_called_settled() -> None:
    diagnosed = next(o for o in answered() if o.described.modes and o.answer.verdict.state == "diagnosed")
    open_ = next(o for o in answered() if o.described.modes and o.answer.verdict.state == "leading-candidates")
    assert agreement.restrained([one("frost-25-degrees"), diagnosed]).sample == 1
    wrong = with_expected(diagnosed, "bearing-current")
    assert agreement.counted(agreement.right_when_diagnosed([diagnosed, wrong, open_])) == "1 of 2 (0.09 to 0.91)"
    assert agreement.counted(agreement.abstained([diagnosed, wrong, open_])) == "1 of 3 (0.06 to 0.79)"


def test_every_failure_is_printed_and_nothing_else() -> None:
    right, wrong = one("nine-low-charge"), with_expected(one("nine-weak-valves"), "bearing-current")
    assert agreement.failures([right]).count("\n") == 1
    (line,) = agreement.failures([right, wrong]).splitlines()[2:]
    assert line.startswith("| published | nine-weak-valves | bearing-current |")
    frost = one("frost-25-degrees")
    blamed = replace(frost, described=replace(frost.described, verdicts=("diagnosed",)))
    assert agreement.failures([blamed]).splitlines()[2].startswith("| published | frost-25-degrees | diagnosed |")


def test_a_row_for_every_kind_that_is_there_and_for_every_one_who_answers() -> None:
    kinds = {o.described.kind for o in answered()}
    assert len(agreement.by_kind(answered()).splitlines()) == 2 + 1 + len(kinds)
    assert len(agreement.by_who(answered(), answered()).splitlines()) == 2 + 3


def test_who_sees_no_finding_says_the_same_of_the_same_machine() -> None:
    blind = agreement.unseen(worded.cases()[:2], knowledge())
    assert blind[0].answer.modes == blind[1].answer.modes


def test_what_is_worded_holds_no_finding_that_is_the_answer() -> None:
    """No finding of a case defines a mode or cause that the case expects."""
    links = (*knowledge().mode_finding, *knowledge().cause_finding)
    defining = {(link.origin, link.target) for link in links if link.defines}
    for case in worded.cases():
        for report in case.case.findings:
            for expected in (*case.modes, *case.causes):
                if expected != "valve-failure" or case.id != "table-slugging":
                    assert (expected, report.finding) not in defining, case.id


def test_what_is_worded_names_what_the_catalogue_knows_and_a_source() -> None:
    tables, cases = worded.tables(), worded.cases()
    assert len(cases) == 37
    assert len({case.id for case in cases}) == len(cases)
    assert not {case.id for case in cases} & {case.id for case in read_cases(CASES)}
    for table, case in zip(tables, cases, strict=True):
        assert source(case.source).trust not in ("expert estimate", "memory")
        assert "." in table["page"]
        assert set(case.modes) <= set(knowledge().modes)
        assert set(case.causes) <= set(knowledge().causes)
        for report in case.case.findings:
            assert report.state in knowledge().findings[report.finding].states
    assert sum(case.id.startswith("nine-") for case in cases) == 9


def test_the_section_says_how_many_and_shows_the_failures() -> None:
    text = section.as_worded(knowledge())
    assert f"Here {len(worded.cases())} descriptions of 13 sources" in text.replace("\n", " ")
    assert agreement.failures(answered()) in text


def test_the_sealed_ones_that_were_seen_are_told_from_the_others() -> None:
    text = (HERE / "SOURCES.md").read_text("utf-8")
    assert all(f"- {key} " in text for key in KNOWN | TEACHING)
    told = text.partition("**Five of the 56 were not unused**")[2].partition("come from")[0]
    assert all(key.removeprefix("pub-") in told for key in KNOWN)
