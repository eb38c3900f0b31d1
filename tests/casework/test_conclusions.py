"""What one part of a case concludes, handed to the next."""

from typing import Any

import pytest

from witnessmark.casework.conclusions import (
    TWO_AIRS,
    with_fragments,
    with_grade,
    with_grade_alone,
    with_history,
    with_note,
    with_one_air,
    with_one_state,
    with_signs,
    with_zone,
    withheld,
    words_of,
)
from witnessmark.language.catalogue import translator


def match(**more: Any) -> dict[str, Any]:
    return {"matches": [], "contradictory": [], "facts": [], **more}


def plan(grade: int, name: str = "severe", solids: str = "none found") -> dict[str, Any]:
    return {"severity": {"grade": grade, "name": name, "solids": solids}}


def test_the_words_are_those_of_the_failed_machine() -> None:
    notes = [{"text": "hums"}, {"text": "runs fine", "of": "after-repair"}, {"text": "was quiet", "of": "sound"}]
    assert words_of({"complaint": "dead", "notes": notes}) == ("dead\nhums", "")
    assert words_of({}) == ("", "")
    text, unread = words_of({"notes": [{"text": "x" * 4000}] * 6})
    assert len(text) == 20_000
    assert "only the first 20,000 characters" in unread


def test_what_is_doubtful_or_told_otherwise_is_not_taken_from_a_note() -> None:
    heard = [
        {"finding": "oil-burnt", "state": "present"},
        {"finding": "magnet-full", "state": "unknown"},
        {"finding": "charge-over", "state": "present"},
        {"finding": "airflow-low", "state": "present"},
    ]
    seen = {"findings": [{"finding": "airflow-low", "state": "absent"}]}
    filled, said = with_note(seen, match(matches=heard, contradictory=["charge-over"]))
    assert filled["findings"] == [
        {"finding": "airflow-low", "state": "absent"},
        {"finding": "oil-burnt", "state": "present"},
    ]
    assert said == ("Heard in the note, to be confirmed: Oil black with a burnt, acrid smell (carbonised).",)
    assert "findings" not in with_note({}, match())[0]


def test_facts_fill_what_is_left_out_and_of_two_values_neither() -> None:
    facts = [
        {"kind": "compressor", "value": "scroll"},
        {"kind": "refrigerant", "value": "R-410A"},
        {"kind": "urgency", "value": "comfort"},
        {"kind": "urgency", "value": "medical"},
        {"kind": "phases", "value": "single-phase"},
        {"kind": "phases", "value": "three-phase"},
    ]
    filled, said = with_note({}, match(facts=facts))
    assert (filled["machine"], filled["refrigerant"], filled["urgency"]) == (
        {"compressor": "scroll"},
        "R-410A",
        "medical",
    )
    assert "Taken from the note: scroll." in said
    quiet = [{"finding": "quiet-running", "state": state} for state in ("present", "absent")]
    texts = [with_note({}, match(matches=[found]))[1][0] for found in quiet]
    assert texts[1] == texts[0].removesuffix(".") + ": absent."
    assert with_note({}, match(facts=[{"kind": "phases", "value": "single-phase"}]))[1] == (
        "Taken from the note: single phase.",
    )
    told = {"machine": {"compressor": "screw"}, "refrigerant": "R-32", "urgency": "none"}
    kept, said = with_note(told, match(facts=facts))
    assert (kept["machine"], kept["refrigerant"], kept["urgency"]) == (told["machine"], "R-32", "none")
    assert said == ()


@pytest.mark.parametrize(
    ("settled", "graded", "name", "gate"),
    [(None, 2, "severe", 2), (1, 3, "sludge", 3), (3, 1, "mild", 3), (0, 1, "unknown", 0), (None, 1, "unknown", 1)],
)
def test_the_gate_hears_of_the_worse_grade(settled: int | None, graded: int, name: str, gate: int) -> None:
    seen = {"machine": {} if settled is None else {"burnout_grade": settled}}
    filled, _ = with_grade(seen, plan(graded, name))
    assert filled["machine"]["burnout_grade"] == gate


@pytest.mark.parametrize(
    ("settled", "graded", "gate"),
    [(None, 2, 2), (1, 2, 2), (3, 2, 3), (None, None, 2), (0, None, 0), (None, 0, 0)],
)
def test_without_a_plan_nothing_that_hangs_on_the_grade_is_let_off(
    settled: int | None, graded: int | None, gate: int
) -> None:
    """The worst wrong answer: the plan fails for a slip, and the oil of a severe burnout stays in the circuit."""
    seen = {} if settled is None else {"machine": {"burnout_grade": settled}}
    plan = None if graded is None else {"severity": {"grade": graded, "name": "x"}}
    found, said = with_grade_alone(seen, plan)
    assert found["machine"]["burnout_grade"] == gate
    assert bool(said) == (settled != gate)


def test_a_zone_that_nobody_knows_costs_dates_alone() -> None:
    found, said = with_zone({"site": {"name": "x", "time_zone": "Mars/Olympus"}})
    assert found == {"site": {"name": "x", "time_zone": "UTC"}}
    assert "dated in UTC" in said[0]
    for site in ({"time_zone": "Europe/Madrid"}, {}):
        assert with_zone({"site": site}) == ({"site": site}, ())


def test_nothing_takes_it_back_that_fragments_may_be_there() -> None:
    broken = {"breakage": {"parts": [{"name": "reed"}]}, "machine": {"debris_possible": False}}
    assert with_fragments(broken, None)[0]["machine"]["debris_possible"] is True
    assert with_fragments({}, plan(0, solids="fragments"))[0]["machine"]["debris_possible"] is True
    assert with_fragments({}, plan(0)) == ({}, ())
    known = {**broken, "machine": {"debris_possible": True}}
    assert with_fragments(known, None) == (known, ())


def test_a_replacement_tells_of_an_earlier_loss() -> None:
    case = {"circumstances": {"origin": "replacement"}, "signs": {"colour": 4}}
    assert with_history(case)["signs"] == {"colour": 4, "repeated_failure": True}
    said = {**case, "signs": {"repeated_failure": False}}
    assert with_history(said) == said
    assert with_history({"signs": {}}) == {"signs": {}}
    assert with_history({"circumstances": {"origin": "replacement"}}) == {"circumstances": {"origin": "replacement"}}


def test_no_superheat_where_nothing_is_pumped() -> None:
    assert "moves no gas" in withheld("superheat", {"compression": {"verdict": "not pumping"}})
    assert withheld("superheat", {"compression": {"verdict": "weak"}}) == ""
    assert withheld("diagnosis", {"compression": {"verdict": "not pumping"}}) == ""


def test_signs_are_findings_where_the_document_does_not_tell_them_itself() -> None:
    signs = {"acid_test": "positive", "burn": "winding", "debris": ["metal-fines"], "deposits": []}
    filled, said = with_signs({"signs": signs, "findings": [{"finding": "metal-fines-in-oil", "state": "absent"}]})
    assert filled["findings"] == [
        {"finding": "metal-fines-in-oil", "state": "absent"},
        {"finding": "acid-test-positive", "state": "present"},
        {"finding": "winding-burnt-pattern-unknown", "state": "present"},
        {"finding": "sludge-in-lines", "state": "absent"},
    ]
    assert said[0].startswith("Taken from the signs, as a finding: Acid test of the oil positive")
    assert with_signs({}) == ({}, ())


def test_how_the_winding_burnt_says_more_than_that_it_did_and_looking_for_carbon_clears_no_oil() -> None:
    known = {"findings": [{"finding": "windings-burnt-evenly", "state": "present"}], "signs": {"burn": "winding"}}
    assert with_signs(known) == (known, ())
    heard = {report["finding"]: report["state"] for report in with_signs({"signs": {"debris": []}})[0]["findings"]}
    assert heard == dict.fromkeys(("metal-fines-in-oil", "copper-plating", "desiccant-found"), "absent")
    acid, _ = with_signs({"signs": {"acid_test": "negative"}})
    assert acid["findings"] == [{"finding": "acid-test-positive", "state": "absent"}]


def told(finding: str, *states: str) -> list[dict[str, Any]]:
    return [{"finding": finding, "state": state} for state in states]


@pytest.mark.parametrize("states", [("absent", "present"), ("present", "absent"), ("unknown", "present", "absent")])
def test_danger_that_is_told_both_ways_is_taken_as_danger_and_said(states: tuple[str, ...]) -> None:
    seen, said = with_one_state({"findings": told("burning-smell", *states)})
    assert seen["findings"] == told("burning-smell", "present")
    assert len(said) == 1
    assert said[0].startswith("Told in two ways, taken as present: Burning or hot")
    assert with_one_state({"findings": told("protection-bridged", *states)})[0]["findings"][0]["state"] == "present"


def test_what_is_told_both_ways_counts_for_neither_and_harms_nothing_beside_it() -> None:
    findings = [*told("oil-burnt", "present", "absent"), *told("airflow-low", "present", "present")]
    seen, said = with_one_state({"findings": [*findings, *told("magnet-full", "unknown", "absent")]})
    kept = [*told("oil-burnt", "unknown"), *told("airflow-low", "present"), *told("magnet-full", "absent")]
    assert seen["findings"] == kept
    assert [text.partition(":")[0] for text in said] == ["Told in two ways, taken as unknown"] * 1
    plain: dict[str, Any] = {"findings": told("oil-burnt", "present")}
    assert with_one_state(plain) == (plain, ())
    assert with_one_state({}) == ({}, ())
    for language in ("es", "pt"):
        assert translator(language)(said[0]) != said[0]


def test_of_altitude_and_barometer_the_altitude_counts_and_is_said() -> None:
    site: dict[str, Any] = {"altitude": {"value": 3640, "unit": "m"}, "barometer": {"value": 1013, "unit": "hPa"}}
    seen, said = with_one_air({"site": {**site, "name": "x"}})
    assert seen == {"site": {"altitude": site["altitude"], "name": "x"}}
    assert said == (TWO_AIRS,)
    for one in ({}, {"altitude": site["altitude"]}, {"barometer": site["barometer"]}):
        assert with_one_air({"site": one}) == ({"site": one}, ())
    for language in ("es", "pt"):
        assert translator(language)(TWO_AIRS) != TWO_AIRS
