"""Safety rules: fired by any sign, however weak, and by a credible mode; nothing out-votes them."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.case import Case, Machine, Reading, Report
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.result import forbidden

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def fired(known: Knowledge, case: Case) -> dict[str, tuple[str, ...]]:
    return {notice.rule: notice.because for notice in notices(inquire(known, case))}


def test_any_of_fires_on_one_unreliable_report(small: Knowledge) -> None:
    case = Case(
        SCROLL, (Report("insulation-low", "present", 0.51), Report("oil-acid", "absent"), Report("oil-black", "absent"))
    )
    assert fired(small, case)["ground"] == ("insulation-low",)


def test_all_of_needs_all(small: Knowledge) -> None:
    assert "acid-and-black" not in fired(small, Case(SCROLL, (Report("oil-black", "present"),)))
    both = Case(SCROLL, (Report("oil-black", "present"), Report("oil-acid", "present")))
    assert fired(small, both)["acid-and-black"] == ("oil-black", "oil-acid")


def test_a_credible_mode_fires(small: Knowledge) -> None:
    case = Case(SCROLL, (Report("oil-black", "present"), Report("oil-acid", "present")))
    assert fired(small, case)["maybe-burnt"] == ("burnout",)
    assert "maybe-burnt" not in fired(small, Case(SCROLL))


def test_absent_fires_nothing(small: Knowledge) -> None:
    assert fired(small, Case(SCROLL, (Report("insulation-low", "absent"),))) == {}


def test_rules_of_other_machines_stay_silent(small: Knowledge) -> None:
    inverter = Machine("scroll", "low-side", "inverter")
    assert "drive-charge" in fired(small, Case(inverter, (Report("module-dead", "present"),)))
    assert "drive-charge" not in fired(small, Case(SCROLL, (Report("module-dead", "absent"),)))


def test_a_reading_fires_as_a_report_does(shipped: Knowledge) -> None:
    case = Case(SCROLL, readings=(Reading("insulation-resistance", 2e4),))
    assert "do-not-re-energise" in fired(shipped, case)


def test_strong_evidence_for_something_else_does_not_silence_a_rule(shipped: Knowledge) -> None:
    wet = [Report(k, "present") for k in ("sump-cold-running", "bearings-washed-bright", "foam-while-running")]
    case = Case(SCROLL, (*wet, Report("insulation-low", "present", 0.55)))
    assert "do-not-re-energise" in fired(shipped, case)


@pytest.mark.parametrize("key", ["breaker-trips-at-once", "insulation-low", "terminal-burnt"])
def test_signs_of_a_grounded_winding_forbid_power(shipped: Knowledge, key: str) -> None:
    inquiry = inquire(shipped, Case(SCROLL, (Report(key, "present"),)))
    assert "energise" in forbidden(notices(inquiry))


def test_every_shipped_rule_fires_on_each_of_its_signs(shipped: Knowledge) -> None:
    for rule in shipped.safety:
        for key in rule.when.any_of:
            finding = shipped.findings[key]
            states = ("present",) if finding.kind == "yes-no" else ("low", "high")
            machine = Machine(
                min(finding.applies.compressor or rule.applies.compressor or {"scroll"}),  # type: ignore[arg-type]
                min(finding.applies.shell or rule.applies.shell or {"low-side"}),  # type: ignore[arg-type]
                min(finding.applies.drive or rule.applies.drive or {"inverter"}),  # type: ignore[arg-type]
            )
            for state in states:
                case = Case(machine, (Report(key, state),))  # type: ignore[arg-type]
                assert rule.id in fired(shipped, case), (rule.id, key)


def test_the_rule_on_rotation_is_about_machines_that_must_not_turn_backwards(shipped: Knowledge) -> None:
    loud = (Report("loud-from-start", "present"),)
    assert "wrong-rotation" in fired(shipped, Case(SCROLL, loud))
    assert "wrong-rotation" in fired(shipped, Case(Machine(), loud))
    assert "wrong-rotation" not in fired(shipped, Case(Machine("reciprocating", "low-side", "fixed-speed"), loud))
