"""What of the danger stands now. Worst of all would be danger told after the repair and called past."""

from typing import Any

import pytest

from witnessmark.casework.danger import Danger, danger, of_the_failed

VENTED = {"rule": "terminal-has-vented", "text": "Keep away.", "cautions": ["x"], "because": ["terminal-vented"]}
UNWELL = {"rule": "people-unwell", "text": "Fresh air.", "cautions": ["y"], "because": ["people-unwell"]}
BURNT = {"rule": "acid-oil", "text": "Gloves.", "cautions": [], "because": ["oil-burnt"]}
MODE = {"rule": "suspected", "text": "Prove it.", "cautions": [], "because": ["ground-fault"]}
REPLACED = {"text": "Compressor replaced"}
SAFE = {"text": "aired", "kind": "made-safe"}


def heard(finding: str, start: int, *notices: dict[str, Any], **more: Any) -> dict[str, Any]:
    match = {"finding": finding, "words": [{"start": start}]}
    return {"note": {"matches": [match], "candidates": [], "safety": list(notices), **more}}


def texts(found: Danger) -> list[str]:
    return [note["text"] for note in found.standing]


def test_without_work_everything_stands() -> None:
    found = danger({}, {"diagnosis": {"safety": [UNWELL, BURNT]}, "note": {"safety": [UNWELL, MODE]}})
    assert texts(found) == ["Fresh air.", "Gloves.", "Prove it."]
    assert [note["text"] for note in found.to_people] == ["Fresh air."]
    assert not found.repaired
    assert danger({}, {}) == Danger()


def test_an_opened_compressor_orders_nothing_before_it_was_opened() -> None:
    case = {"complaint": "burning smell", "signs": {"burn": "winding"}}
    found = danger(case, {**heard("burning-smell", 0, {**UNWELL, "because": ["burning-smell"]})})
    assert texts(found) == []
    assert found.repaired
    assert not found.replaced


def test_the_repair_ends_what_was_told_before_it() -> None:
    done = heard("terminal-vented", 0, VENTED)
    case = {"complaint": "terminal blown out", "work_done": [REPLACED]}
    found = danger(case, done)
    assert texts(found) == []
    assert found.repaired
    assert found.replaced
    earlier = {**case, "complaint_at": "2026-07-03T08:00", "work_done": [{**REPLACED, "at": "2026-07-02T08:00"}]}
    assert texts(danger(earlier, done)) == ["Keep away."]
    assert texts(danger({**case, "work_done": [{"text": "Compressor to be replaced"}]}, done)) == ["Keep away."]


@pytest.mark.parametrize(
    ("note", "stands"),
    [
        ({"at": "2026-07-03T08:00"}, True),
        ({"at": "2026-07-01T08:00"}, False),
        ({}, True),
        ({"of": "found"}, False),
        ({"of": "found", "at": "2026-07-03T08:00"}, True),
    ],
)
def test_a_note_after_the_repair_stands_and_so_does_one_whose_time_nobody_knows(
    note: dict[str, str], stands: object
) -> None:
    case = {
        "complaint": "noisy",
        "notes": [{"text": "people dizzy", **note}],
        "work_done": [{**REPLACED, "at": "2026-07-02T08:00"}],
    }
    assert texts(danger(case, heard("people-unwell", 6, UNWELL))) == (["Fresh air."] if stands else [])


def test_findings_without_a_time_end_with_the_compressor_or_when_somebody_says_so() -> None:
    done = {"diagnosis": {"safety": [VENTED, UNWELL, BURNT, MODE]}}
    reported = [{"finding": key, "state": "present"} for key in ("terminal-vented", "people-unwell", "oil-burnt")]
    assert texts(danger({"findings": reported, "work_done": [REPLACED]}, done)) == ["Fresh air."]
    assert texts(danger({"findings": reported, "work_done": [SAFE]}, done)) == ["Gloves.", "Prove it."]
    assert texts(danger({"findings": reported, "work_done": [SAFE, REPLACED]}, done)) == []


def test_what_a_finding_of_the_document_leaves_open_a_later_note_may_still_tell() -> None:
    case = {
        "findings": [{"finding": "terminal-vented", "state": "present"}],
        "notes": [{"text": "terminal blown out again", "at": "2026-07-03T08:00"}],
        "work_done": [{**REPLACED, "at": "2026-07-02T08:00"}],
    }
    assert texts(danger(case, heard("terminal-vented", 0, VENTED))) == ["Keep away."]


def test_danger_told_of_the_repair_and_after_it_is_heard_first() -> None:
    smoke = {"of": "after-repair", "text": "smoke from the panel at the first start"}
    found = danger({"complaint": "x", "notes": [smoke], "work_done": [REPLACED]}, {"diagnosis": {"safety": [BURNT]}})
    assert found.standing[0]["rule"] == "fire-or-smoke"
    assert found.to_people
    fainted = {"text": "helper fainted while brazing"}
    assert danger({"work_done": [fainted]}, {}).to_people
    assert danger({"work_done": [REPLACED, fainted]}, {}).to_people
    assert not danger({"work_done": [fainted, SAFE]}, {}).to_people
    assert danger({"work_done": [SAFE, fainted]}, {}).to_people
    assert not danger({"work_done": [{"text": "fire is out", "kind": "made-safe"}]}, {}).to_people
    dated = {**smoke, "at": "2026-07-03T08:00"}
    assert danger({"notes": [dated], "work_done": [{**SAFE, "at": "2026-07-02T08:00"}]}, {}).to_people
    assert not danger({"notes": [dated], "work_done": [{**SAFE, "at": "2026-07-03T09:00"}]}, {}).to_people


def test_an_alarm_that_nobody_understood_is_past_where_its_words_are() -> None:
    done = heard("oil-burnt", 0, call_back={"reason": "alarm", "words": [{"start": 0}]})
    assert danger({"complaint": "help"}, done).call_back
    assert danger({"complaint": "help", "work_done": [REPLACED]}, done).call_back is None
    unread = heard("oil-burnt", 0, call_back={"reason": "alarm", "words": []})
    assert danger({"complaint": "help", "work_done": [REPLACED]}, unread).call_back


def test_blank_texts_are_not_read() -> None:
    told = of_the_failed({"complaint": " ", "notes": [{"text": "a"}, {"text": "b", "of": "sound"}]})
    assert [spoken.text for spoken in told] == ["a"]
    assert danger({"complaint": "a"}, heard("x", -1, {**UNWELL, "because": ["x"]})).standing


OXYGEN = {"before_start": {"pressure_tests": [{"gas": "oxygen"}, {"gas": "dry-nitrogen"}, {}]}}


@pytest.mark.parametrize("gas", ["oxygen", "air", "flammable-gas"])
def test_a_pressure_test_with_a_gas_that_can_explode_is_danger_until_somebody_says_that_it_is_over(gas: str) -> None:
    case = {"before_start": {"pressure_tests": [{"gas": "dry-nitrogen"}, {"gas": gas}]}}
    found = danger(case, {})
    assert [note["rule"] for note in found.leading] == ["wrong-gas-in-the-circuit"]
    assert found.to_people == found.leading
    assert danger(OXYGEN, {}).to_people
    assert danger({**OXYGEN, "work_done": [{"text": "valve changed"}]}, {}).to_people
    over = danger({**OXYGEN, "work_done": [SAFE]}, {})
    assert over.made_safe
    assert not over.standing
    assert not danger({"before_start": {"pressure_tests": [{"gas": "refrigerant"}, {}]}}, {}).leading


BRIDGED = {"text": "jumped out the high pressure switch to test, left running"}


def test_a_protection_bridged_by_the_repair_leads_until_the_bridge_is_out() -> None:
    found = danger({"work_done": [BRIDGED]}, {})
    assert [note["rule"] for note in found.leading] == ["bridged-protection"]
    assert danger({"notes": [{"of": "after-repair", **BRIDGED}]}, {}).leading
    for ended in ({"text": "Took the jumper off again"}, {"text": "x", "kind": "bridge-removed"}):
        assert not danger({"work_done": [BRIDGED, ended]}, {}).leading
    assert danger({"work_done": [BRIDGED, {"text": "jumper to be removed tomorrow"}]}, {}).leading
    assert not danger({"work_done": [{"text": "removed the bridge across the pressure switch"}]}, {}).leading
    assert danger({"work_done": [BRIDGED, REPLACED]}, {}).leading
    assert danger({"work_done": [{"text": "Took the jumper off"}, BRIDGED]}, {}).leading
    both = {"text": "Compressor replaced. Jumper removed from the high pressure switch."}
    assert not danger({"work_done": [BRIDGED, both]}, {}).leading


def test_another_compressor_takes_no_bridge_out_of_the_panel() -> None:
    notice = {"rule": "bridged-protection", "text": "Remove it.", "cautions": [], "because": ["protection-bridged"]}
    told = heard("protection-bridged", 0, notice)
    case = {"complaint": "pressure switch bridged", "work_done": [REPLACED]}
    assert texts(danger(case, told)) == ["Remove it."]
    unbridged = {"text": "x", "kind": "bridge-removed"}
    assert texts(danger({**case, "work_done": [REPLACED, unbridged]}, told)) == []
    reported = {"findings": [{"finding": "protection-bridged", "state": "present"}], "work_done": [REPLACED]}
    assert texts(danger(reported, {"diagnosis": {"safety": [notice]}})) == ["Remove it."]
    done = {**reported, "work_done": [unbridged]}
    assert texts(danger(done, {"diagnosis": {"safety": [notice]}})) == []


def test_where_the_diagnosis_cannot_be_had_its_findings_still_fire_their_rules() -> None:
    reports = [{"finding": "smoke-seen", "state": "present"}, {"finding": "fire-seen", "state": "absent"}]
    (notice,) = danger({"findings": reports}, {}).to_people
    assert (notice["rule"], notice["because"]) == ("fire-or-smoke", ("smoke-seen",))
    assert danger({"findings": reports[1:]}, {}) == Danger()


def test_good_readings_after_the_repair_end_all_but_danger_and_a_bridged_protection() -> None:
    read = {"operation": {"advice": "keep-running"}, "verdict": {"state": "not-enough-evidence"}}
    rules = [UNWELL, BURNT, {**BURNT, "text": "Bridge.", "because": ["protection-bridged"]}]
    found = danger({}, {"diagnosis": {"safety": rules}}, {"diagnosis": read})
    assert found.good
    assert texts(found) == ["Fresh air.", "Bridge."]


PROTECTION: dict[str, Any] = {
    "rule": "bridged-protection",
    "text": "Remove it.",
    "cautions": [],
    "because": ["protection-bridged"],
}


@pytest.mark.parametrize(
    ("case", "place", "stands"),
    [
        ({"complaint": "I removed the jumper from the low pressure switch"}, 14, False),
        ({"complaint": "low pressure switch is jumpered"}, 0, True),
        ({"complaint": "Removed the jumper. HP switch is jumpered."}, 20, True),
        ({"complaint": "removed the jumper on the LP switch, left the one on the HP switch"}, 12, True),
        ({"complaint": "dead", "notes": [{"text": "LP switch bridged; jumper taken out again"}]}, 5, False),
        (
            {
                "complaint": "LP switch bridged",
                "complaint_at": "2026-07-01T08:00",
                "notes": [{"text": "jumper taken out", "at": "2026-07-01T12:00"}],
            },
            0,
            False,
        ),
        (
            {
                "complaint": "LP switch bridged",
                "complaint_at": "2026-07-01T08:00",
                "notes": [{"text": "jumper taken out", "at": "2026-07-01T07:00"}],
            },
            0,
            True,
        ),
        ({"complaint": "LP switch bridged", "notes": [{"text": "jumper taken out"}]}, 0, True),
    ],
)
def test_words_that_took_a_bridge_away_overtake_what_was_told_before(
    case: dict[str, Any], place: int, *, stands: bool
) -> None:
    """Worst would be a bridge that is left and called gone: where the order is not known, it stands."""
    assert bool(texts(danger(case, heard("protection-bridged", place, PROTECTION)))) is stands


@pytest.mark.parametrize(
    ("text", "leads"),
    [
        ("I removed the jumper from the low pressure switch", False),
        ("Removed the jumper. Then jumped out the high pressure switch, left running", True),
        ("removed the jumper from the LP switch but left the one on the HP switch", True),
    ],
)
@pytest.mark.parametrize("place", ["notes", "work_done"])
def test_a_note_of_the_repair_that_took_a_bridge_away_bridges_nothing(text: str, place: str, *, leads: bool) -> None:
    case = {"notes": [{"text": text, "of": "after-repair"}], "work_done": [{"text": text}]}
    assert bool(danger({place: case[place]}, {}).leading) is leads


SMELL = {"rule": "smell", "text": "Keep away from it.", "cautions": [], "because": ["burning-smell"]}
SMELLED: dict[str, Any] = {
    "findings": [{"finding": "burning-smell", "state": "present"}, {"finding": "oil-burnt", "state": "present"}],
    "complaint_at": "2026-09-14T05:50",
    "work_done": [{"at": "2026-09-14T09:00", "text": "out", "kind": "compressor-removed"}],
}


def test_the_smell_of_a_compressor_that_was_found_burnt_goes_out_with_it() -> None:
    assert texts(danger(SMELLED, {"diagnosis": {"safety": [SMELL]}})) == []
    signs = {**SMELLED, "findings": SMELLED["findings"][:1], "signs": {"burn": "winding"}}
    assert texts(danger(signs, {"diagnosis": {"safety": [SMELL]}})) == []
    acrid = {**signs, "signs": {"smell": "burnt"}}
    assert texts(danger(acrid, {"diagnosis": {"safety": [SMELL]}})) == []


@pytest.mark.parametrize(
    "otherwise",
    [
        {"complaint_at": None},
        {"complaint_at": "2026-09-15T05:50"},
        {"work_done": []},
        {"work_done": [{"text": "out", "kind": "compressor-removed"}]},
        {"work_done": [{"at": "2026-09-14T09:00", "text": "contactor changed", "kind": "other"}]},
        {"findings": SMELLED["findings"][:1]},
        {"findings": [SMELLED["findings"][0], {"finding": "oil-burnt", "state": "absent"}]},
        {"notes": [{"text": "burning smell at the panel again", "of": "after-repair"}]},
    ],
)
def test_a_smell_that_may_be_of_the_wiring_or_of_the_new_compressor_stands(otherwise: dict[str, Any]) -> None:
    assert danger({**SMELLED, **otherwise}, {"diagnosis": {"safety": [SMELL]}}).to_people
