"""Reports, silence and readings as likelihoods; dependence tempered; what cannot be used is said."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.diagnosis.case import Case, Channel, Machine, Reading, Report
from witnessmark.diagnosis.catalogue.decisions import decisions
from witnessmark.diagnosis.catalogue.readings import catalogue, likelihood
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evidence.evidence import (
    READING,
    SILENT,
    CaseEvidence,
    EvidenceItem,
    _state,
    gather,
    reported,
    weights,
)
from witnessmark.diagnosis.evidence.reports import checked
from witnessmark.diagnosis.inference.network import network

SCROLL = Machine("scroll", "low-side", "fixed-speed")
HEAT_PUMP = Machine("scroll", "low-side", "inverter")


def gathered(known: Knowledge, case: Case) -> CaseEvidence:
    stated = checked(known, case)
    return gather(known, network(known, stated.machine), case, stated.reports, decisions().evidence)


def weight(result: CaseEvidence, finding: str) -> dict[str, float]:
    return next(used.weights for used in result.used if used.finding == finding)


def test_a_report_is_as_good_as_its_reliability(small: Knowledge) -> None:
    assert reported(small.findings["oil-black"], "present", 0.9) == pytest.approx((0.1, 0.9, 0.1))
    assert reported(small.findings["oil-black"], "absent", 0.9) == pytest.approx((0.9, 0.1, 0.9))
    assert reported(small.findings["superheat"], "low", 0.9) == pytest.approx((0.05, 0.9, 0.05))


def test_one_report_carries_its_full_weight(small: Knowledge) -> None:
    result = gathered(small, Case(SCROLL, (Report("oil-black", "present"),)))
    assert weight(result, "oil-black")["present"] == pytest.approx(10 * math.log10(0.95 / 0.05), abs=0.01)
    assert result.states == {"oil-black": "present"}
    assert result.used[0].text == "Oil black"


def test_findings_of_one_disturbance_are_tempered(small: Knowledge) -> None:
    two = (Report("oil-black", "present"), Report("oil-acid", "present"))
    both = gathered(small, Case(SCROLL, two))
    single = 10 * math.log10(0.95 / 0.05)
    shared = single / (1 + decisions().evidence.trace_correlation)
    assert weight(both, "oil-black")["present"] == pytest.approx(shared, abs=0.01)
    assert single < 2 * shared < 2 * single


def test_silence_counts_only_in_a_named_channel(small: Knowledge) -> None:
    mute = gathered(small, Case(SCROLL, (Report("oil-black", "present"),)))
    assert not len(mute.likelihoods.silent)
    assert any("counts for nothing" in remark for remark in mute.remarks)
    case = Case(SCROLL, (Report("oil-black", "present"), Report("superheat", "low")), reported_by=("note",))
    inquiry_of = gathered(small, case)
    silent = {u.finding: u.weights for u in inquiry_of.used if u.state == SILENT}
    assert set(silent) == {"oil-acid", "insulation-low", "coil-dirty"}
    assert all(w["present"] < 0 for w in silent.values())
    assert any("Silence counts softly" in remark for remark in inquiry_of.remarks)


def test_the_silence_of_a_short_report_says_less(shipped: Knowledge) -> None:
    def silence(count: int) -> float:
        keys = [k for k, f in shipped.findings.items() if f.kind == "yes-no" and f.applies.to(HEAT_PUMP)][:count]
        case = Case(HEAT_PUMP, tuple(Report(k, "absent") for k in keys), reported_by=("teardown",))
        result = gathered(shipped, case)
        row = result.likelihoods.silent.tolist().index(network(shipped, HEAT_PUMP).index("coupling-keys-broken"))
        return float(
            np.log(result.likelihoods.silent_likelihood[row, 0] / result.likelihoods.silent_likelihood[row, 1])
        )

    assert 0 < silence(2) < silence(15)


def test_a_channel_that_brings_up_nothing_has_no_silence(small: Knowledge) -> None:
    result = gathered(small, Case(Machine("screw", "low-side", "fixed-speed"), reported_by=("teardown", "teardown")))
    assert [u.finding for u in result.used if u.state == SILENT] == ["bearing-washed"]


def reading(quantity: str, value: float, shared: str = "") -> Reading:
    return Reading(quantity, value, 0.5, shared_with=shared)


def test_a_reading_is_told_as_a_chain(shipped: Knowledge) -> None:
    named = Reading("suction-superheat", 1.0, 0.5, "suction line 6.1 °C less dew 5.1 °C at 9.3 bar")
    result = gathered(shipped, Case(SCROLL, readings=(named, reading("subcooling", 6.0))))
    texts = {u.finding: u.text for u in result.used}
    low = shipped.findings["suction-superheat"].wording("low")
    assert texts["suction-superheat"].startswith("suction line 6.1 °C less dew 5.1 °C at 9.3 bar → suction superheat")
    assert low[1:] in texts["suction-superheat"]
    assert "Subcooling at the condenser outlet 6.00 ± 0.50 K → " in texts["subcooling"]
    assert result.states["suction-superheat"] == "low"
    assert result.states["subcooling"] == "normal"
    assert {u.state for u in result.used} == {READING}


def test_a_reading_on_the_edge_reports_no_state(shipped: Knowledge) -> None:
    result = gathered(shipped, Case(SCROLL, readings=(Reading("suction-superheat", 5.4, 1.0),)))
    assert "suction-superheat" not in result.states


def log_ratio(result: CaseEvidence, known: Knowledge, finding: str) -> float:
    seen = result.likelihoods.likelihood[
        result.likelihoods.findings.tolist().index(network(known, SCROLL).index(finding))
    ]
    return float(np.log(seen[1] / seen[0]))


def test_readings_of_one_probe_are_one_piece(shipped: Knowledge) -> None:
    wet = reading("discharge-superheat", 3.0)
    alone = gathered(shipped, Case(SCROLL, readings=(wet,)))
    both = gathered(shipped, Case(SCROLL, readings=(wet, reading("discharge-temperature", 330.0))))
    single, shared = (log_ratio(result, shipped, "discharge-superheat-low") for result in (alone, both))
    assert shared == pytest.approx(single / 2)


def test_what_a_number_shows_is_not_weakened_by_what_it_shows_not_to_be(shipped: Knowledge) -> None:
    """Too much charge is no less too much because it is not too little."""
    result = gathered(shipped, Case(SCROLL, readings=(Reading("charge-fraction", 1.4, 0.01),)))
    row = catalogue()["charge-fraction"]
    normal, _, high = likelihood(row, 1.4, 0.01, decisions().evidence.gross_error)
    assert log_ratio(result, shipped, "charge-over") == pytest.approx(math.log(high / normal))
    assert log_ratio(result, shipped, "charge-short") < 0


def test_what_the_caller_says_is_shared_is_shared(shipped: Knowledge) -> None:
    pair = (reading("suction-superheat", 1.0, "gauge"), reading("condensing-over-ambient", 30.0, "gauge"))
    result = gathered(shipped, Case(SCROLL, readings=pair))
    assert result.likelihoods.likelihood.min() > 0.05


def test_two_readings_of_one_finding_are_averaged(shipped: Knowledge) -> None:
    twice = (reading("suction-superheat", 1.0), Reading("suction-superheat", 1.0, 0.5, "again"))
    result = gathered(shipped, Case(SCROLL, readings=twice))
    once = gathered(shipped, Case(SCROLL, readings=twice[:1]))
    assert len(result.items) == 1
    assert result.likelihoods.likelihood == pytest.approx(once.likelihoods.likelihood)
    assert "; again → " in result.used[0].text


def test_a_reading_replaces_the_report_of_it(shipped: Knowledge) -> None:
    case = Case(SCROLL, (Report("suction-superheat", "high"),), readings=(reading("suction-superheat", 1.0),))
    result = gathered(shipped, case)
    assert [p.state for p in result.items] == [READING]
    assert any("instead of the report" in remark for remark in result.remarks)


def test_what_hangs_on_an_unknown_shell_is_set_aside(small: Knowledge) -> None:
    result = gathered(small, Case(Machine("scroll", None, "inverter"), (Report("sump-cold", "absent"),)))
    assert result.unusable == ("sump-cold",)
    assert any("the shell is not known" in remark for remark in result.remarks)
    assert not len(result.likelihoods.findings)


def test_a_reading_that_says_nothing_of_this_machine_is_set_aside(shipped: Knowledge) -> None:
    high_side = Machine("scroll", "high-side", "inverter")
    result = gathered(shipped, Case(high_side, readings=(reading("sump-superheat-running", 2.0),)))
    assert result.unusable == ("sump-cold-running",)
    assert any("this kind of machine" in remark for remark in result.remarks)


def test_readings_of_findings_unknown_to_the_knowledge_are_passed_over(small: Knowledge) -> None:
    result = gathered(small, Case(SCROLL, readings=(reading("suction-superheat", 1.0),)))
    assert result.items == ()


@pytest.mark.parametrize("channel", ["note", "form", "teardown"])
def test_every_channel_works_on_the_shipped_knowledge(shipped: Knowledge, channel: Channel) -> None:
    result = gathered(shipped, Case(HEAT_PUMP, (Report("oil-burnt", "present"),), reported_by=(channel,)))
    assert len(result.likelihoods.silent) > 50
    assert (result.likelihoods.silent_likelihood > 0).all()


def test_what_a_context_says_was_not_passed_over_in_silence(shipped: Knowledge) -> None:
    row = network(shipped, SCROLL).index("charge-added-repeatedly")
    silent = gathered(shipped, Case(SCROLL, reported_by=("form",))).likelihoods.silent
    inquiry_of = gathered(
        shipped, Case(SCROLL, reported_by=("form",), circumstances=(("history", "charge-added-repeatedly"),))
    )
    assert row in silent
    assert row not in inquiry_of.likelihoods.silent


def test_what_follows_from_a_normal_says_so(shipped: Knowledge) -> None:
    result = gathered(shipped, Case(SCROLL, (Report("compressor-runs", "present"),)))
    assert "No winding open (follows from: compressor starts and runs)" in [first.text for first in result.used]


def test_what_speaks_the_other_way_repeats_nothing(small: Knowledge) -> None:
    """A head that is up is no less so because the ratio is still in its range."""
    unlike = gathered(small, Case(SCROLL, (Report("oil-black", "present"), Report("oil-acid", "absent"))))
    single = 10 * math.log10(0.95 / 0.05)
    assert weight(unlike, "oil-black")["present"] == pytest.approx(single, abs=0.01)
    assert weight(unlike, "oil-acid")["present"] == pytest.approx(-single, abs=0.01)


def test_a_reading_that_is_just_so_clear_shows_the_healthy_state(small: Knowledge) -> None:
    """Ten to one against is ten decibans, by definition."""
    finding, seen = small.findings["oil-black"], (1.0, 0.1, 0.1)
    just = -weights(finding, seen)["present"]
    assert just == pytest.approx(10.0)
    piece = EvidenceItem("oil-black", READING, seen, "a reading")
    assert _state(finding, piece, just) == "absent"
    assert _state(finding, piece, just * 1.0001) == ""


@pytest.mark.parametrize("quantity", [row.id for row in catalogue().values() if not row.edge_counts])
def test_a_reading_within_the_sound_range_is_no_clear_sign(shipped: Knowledge, quantity: str) -> None:
    """Worst: a sound machine at its limit is stopped, since far fewer sound ones than bad ones read just so."""
    row = catalogue()[quantity]
    low, high = (10**x for x in row.normal) if row.scale == "log10" else row.normal
    for value in (low, high):
        if not row.limits[0] <= value <= row.limits[1]:
            continue
        states = gathered(shipped, Case(readings=(Reading(quantity, value),))).states
        signs = {bearing.finding for bearing in row.bears}
        assert {states[key] for key in signs & states.keys()} <= {"normal", "absent"}


def test_a_reading_beyond_the_sound_range_is_a_clear_sign(shipped: Knowledge) -> None:
    for value, state in ((3.0, "low"), (30.0, "high")):
        assert gathered(shipped, Case(readings=(Reading("suction-superheat", value),))).states == {
            "suction-superheat": state
        }


@pytest.mark.parametrize("uncertainty", [0.0, 1e4, 1e6])
def test_a_low_insulation_is_a_clear_sign_however_rough_the_tester(shipped: Knowledge, uncertainty: float) -> None:
    """Worst: a winding at a tenth of the limit is passed over, since its tester may err by as much."""
    low = Reading("insulation-resistance", 10 ** (catalogue()["insulation-resistance"].normal[0] - 1), uncertainty)
    assert "insulation-low" not in gathered(shipped, Case()).states
    states = gathered(shipped, Case(readings=(replace(low, uncertainty=min(uncertainty, low.value / 4)),))).states
    assert states["insulation-low"] == "present"
