"""Contradictions, surprises, and what nothing explains."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.misfits import contradictions, expected, fits, misfits, strain, unexplained
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def inquiry_of(known: Knowledge, *reports: tuple[str, str], channels: tuple[str, ...] = ()) -> Inquiry:
    built = tuple(Report(key, state) for key, state in reports)  # type: ignore[arg-type]
    return inquire(known, Case(SCROLL, built, reported_by=channels))  # type: ignore[arg-type]


def test_a_reviewed_pair_that_cannot_both_be(small: Knowledge) -> None:
    (result,) = contradictions(inquiry_of(small, ("superheat", "high"), ("sump-cold", "present")))
    assert result.findings == ("superheat", "sump-cold")
    assert result.text == (
        "These two cannot both be right: superheat high, and sump cold, since dry gas leaves no cold sump."
    )
    assert result.ask == "superheat and sump together"
    assert contradictions(inquiry_of(small, ("superheat", "low"), ("sump-cold", "present"))) == ()


def test_a_good_condition_beside_what_it_excludes(small: Knowledge, shipped: Knowledge) -> None:
    (result,) = contradictions(inquiry_of(small, ("oil-good", "present"), ("oil-acid", "present")))
    assert result.findings == ("oil-good", "oil-acid")
    assert "oil clear and free of acid" in result.text
    runs = Case(SCROLL, (Report("shaft-seized", "present"),), conditions=("compressor-runs",))
    (clash,) = contradictions(inquire(shipped, runs))
    assert "compressor starts and runs, and shaft cannot be turned by hand" in clash.text
    assert clash.ask == "note which of the two was seen last"


def test_what_nothing_in_view_explains(small: Knowledge) -> None:
    odd = inquiry_of(
        small, ("reed-broken", "absent"), ("worked-on", "present"), ("oil-black", "absent"), ("superheat", "normal")
    )
    by_finding = dict(zip([p.finding for p in odd.evidence.items], unexplained(odd), strict=True))
    assert 0 < by_finding["worked-on"] < 1
    assert by_finding["oil-black"] == 0
    low = inquiry_of(small, ("head-pressure", "low"))
    high = inquiry_of(small, ("head-pressure", "high"))
    assert unexplained(low)[0] > unexplained(high)[0] > 0


def test_people_report_the_abnormal(small: Knowledge) -> None:
    plain = inquiry_of(small, ("worked-on", "present"), ("superheat", "low"))
    rows = [p.finding for p in plain.evidence.items]
    shift = expected(plain)[rows.index("superheat")], plain.given_rest[rows.index("superheat")]
    assert shift[0] > shift[1]
    normal = inquiry_of(small, ("worked-on", "present"), ("superheat", "normal"))
    assert expected(normal)[1] < normal.given_rest[1]


def test_strain_is_none_without_findings_or_with_surprising_normals_only(small: Knowledge) -> None:
    assert strain(inquiry_of(small)) == 0.0
    burnt_but_sound = (("oil-black", "present"), ("oil-acid", "present"), ("insulation-low", "absent"))
    assert strain(inquiry_of(small, *burnt_but_sound)) == 0.0


ODD = (
    ("wrap-broken", "present"),
    ("insulation-low", "present"),
    ("superheat", "high"),
    ("bearing-washed", "present"),
    ("oil-acid", "absent"),
    ("oil-black", "absent"),
    ("head-pressure", "low"),
)


def test_findings_thrown_together_strain_more_than_those_of_one_mode(small: Knowledge) -> None:
    clean = inquiry_of(
        small,
        ("superheat", "low"),
        ("sump-cold", "present"),
        ("bearing-washed", "present"),
        ("oil-acid", "absent"),
        ("insulation-low", "absent"),
        ("wrap-broken", "absent"),
    )
    odd = inquiry_of(small, *ODD)
    assert strain(odd) > strain(clean)
    assert fits(clean)


def test_a_handful_is_too_few_to_tell(small: Knowledge) -> None:
    assert fits(inquiry_of(small, *ODD[:4]))


def test_misfits_name_the_finding_and_why(shipped: Knowledge) -> None:
    case = Case(
        Machine("scroll", "low-side", "inverter"),
        (
            Report("rust-inside", "present"),
            Report("moisture-high", "absent"),
            Report("copper-plating", "absent"),
            Report("desiccant-found", "present"),
            Report("acid-test-positive", "absent"),
            Report("bearing-fluted", "present"),
            Report("bearing-whine", "absent"),
        ),
    )
    result = misfits(inquire(shipped, case))
    assert result
    assert all(m.text.endswith(".") for m in result)
    assert [m.given_rest for m in result] == sorted(m.given_rest for m in result)
    assert any("no failure mode or cause in view" in m.text for m in result)


def test_a_surprising_finding_is_named(small: Knowledge) -> None:
    wet = inquiry_of(
        small, ("sump-cold", "present"), ("bearing-washed", "present"), ("superheat", "high"), channels=("note",)
    )
    result = misfits(wet)
    assert np.isfinite([m.given_rest for m in result]).all()


@pytest.mark.parametrize("count", [0, 1])
def test_short_cases_do_no_harm(small: Knowledge, count: int) -> None:
    assert fits(inquiry_of(small, *ODD[:count]))


def test_a_danger_that_no_mode_bears_on_is_no_misfit(shipped: Knowledge) -> None:
    """Flames and a hurt person are acted on; the reasoning has no opinion on whether they fit."""
    dangers = tuple(
        Report(key, "present") for key in ("fire-seen", "person-hurt", "people-unwell", "water-on-live-parts")
    )
    told = (*dangers, Report("insulation-low", "present"), Report("breaker-trips-at-once", "present"))
    inquiry = inquire(shipped, Case(Machine("scroll", "low-side", "fixed-speed"), told))
    assert misfits(inquiry) == ()
    assert fits(inquiry)
    only = inquire(shipped, Case(findings=dangers))
    assert strain(only) == 0.0
    assert fits(only)


def test_one_more_cause_is_no_misfit(shipped: Knowledge) -> None:
    """A dead heater and a valve that leaks at rest: two rare things, both measured, and both do the same harm."""
    told = ("heater-dead", "off-cycle-valve-leak", "start-noise", "sump-cold-at-rest", "long-idle-before-failure")
    reports = tuple(Report(key, "present") for key in told)
    inquiry = inquire(shipped, Case(Machine("scroll", "low-side", "fixed-speed"), reports))
    assert misfits(inquiry) == ()
    assert fits(inquiry)


def test_small_surprises_that_none_can_name_do_not_make_a_case_unfit(shipped: Knowledge) -> None:
    """Storm, surge marks, a wrong bus and a drive code: a textbook case, rare in each part, none of it strange."""
    machine = Machine("scroll", "low-side", "inverter")
    there = ("drive-overcurrent-code", "dc-bus-wrong", "storm-or-outage", "surge-marks")
    gone = ("module-fails-diode-check", "insulation-low")
    reports = (*(Report(key, "present") for key in there), *(Report(key, "absent") for key in gone))
    inquiry = inquire(shipped, Case(machine, reports, reported_by=("form",)))
    figures = inquiry.decisions.verdict.model_copy(update={"strain": strain(inquiry) / 2})
    strict = inquiry.decisions.model_copy(update={"verdict": figures})
    assert strain(inquiry) > 0
    assert misfits(inquiry) == ()
    assert fits(replace(inquiry, decisions=strict))
