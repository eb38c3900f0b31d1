"""Denials without a comma, made from lists: none may turn the fault behind it into its denial."""

from __future__ import annotations

import csv
import os
from itertools import product
from pathlib import Path

import pytest

from witnessmark.diagnosis.notes.matching import alarms, read_note

DENIED = (
    "not cooling",
    "won't start",
    "wont start",
    "doesn't start",
    "not starting",
    "no cooling",
    "not cold",
    "won't run",
    "no power at the stat",
    "not running",
    "no airflow",
    "no smell",
    "no leaks found",
    "not low on charge",
    "never iced up",
    "no noise",
    "not the capacitor",
    "no display",
    "couldn't get on the roof",
    "didn't check the charge",
)
JOINTS = ("", " and", " just", " but", " then", " now")
FAULTS = {
    "breaker trips every time": "breaker-trips-at-once",
    "oil is black": "oil-burnt",
    "compressor knocking": "knock-while-running",
    "contactor burnt": "contactor-bad",
    "smoke from the panel": "smoke-seen",
    "shorted to ground": "insulation-low",
}
PHRASES = [(f"{denied}{joint} {fault}", FAULTS[fault]) for denied, joint, fault in product(DENIED, JOINTS, FAULTS)]
PSEUDO = (
    "no doubt",
    "not only",
    "without a doubt",
    "no question",
    "can't get rid of",
    "never stops",
    "won't stop",
    "no change in",
    "cannot rule out",
    "not sure but",
)
GERUNDS = {"knocking": "knock-while-running", "tripping the breaker": "breaker-trips-at-once"}


def heard(text: str) -> dict[str, str]:
    note = read_note(text)
    return {m.finding: m.state for m in (*note.candidates, *note.matches)}


def test_there_are_enough_of_them() -> None:
    assert len(PHRASES) >= 300
    assert all("," not in text for text, _ in PHRASES)


def test_no_fault_behind_a_denial_is_denied_with_it() -> None:
    inverted = [text for text, fault in PHRASES if heard(text).get(fault) in {"absent", "normal"}]
    assert inverted == []


def test_nearly_all_of_them_are_heard_as_present() -> None:
    """Measured 720 of 720 when this was written; the order of the lists was not chosen for it."""
    present = sum(heard(text).get(fault) == "present" for text, fault in PHRASES)
    assert present >= 0.98 * len(PHRASES)


@pytest.mark.parametrize("denial", PSEUDO)
def test_what_only_looks_like_a_denial_denies_nothing(denial: str) -> None:
    for words, finding in GERUNDS.items():
        assert heard(f"{denial} {words}").get(finding) in {"present", "unknown"}, words
    assert heard(f"{denial} the oil is burnt").get("oil-burnt") in {"present", "unknown"}


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("not cooling breaker trips every time", "do-not-re-energise"),
        ("won't start just hums", "locked-motor"),
        ("wont start just hums", "locked-motor"),
        ("no cooling oil is black", "acid-oil"),
        ("no doubt the oil is burnt", "acid-oil"),
        ("not cold smoke from the unit", "fire-or-smoke"),
        ("won't run breaker trips", "do-not-re-energise"),
        ("unit won't run and breaker trips", "do-not-re-energise"),
    ],
)
def test_the_rule_of_the_fault_is_not_lost(text: str, rule: str) -> None:
    note = read_note(text)
    assert rule in {notice.rule for notice in alarms(note.matches)}


@pytest.mark.parametrize(
    "text",
    [
        "drier restriction ruled out",
        "restriction at the drier ruled out by temperature",
        "no sign of a restriction at the drier",
        "drier restriction: none",
        "drier restriction not found",
    ],
)
def test_a_denial_behind_is_one(text: str) -> None:
    assert heard(text).get("liquid-line-temperature-drop") == "absent"


@pytest.mark.parametrize(
    "text",
    [
        "there's never been a time it didn't knock",
        "it never doesn't knock",
        "can't say the compressor isn't knocking",
        "not without knocking",
    ],
)
def test_two_denials_cancel(text: str) -> None:
    assert heard(text).get("knock-while-running") == "present"


@pytest.mark.parametrize("text", ["didn't hear no knocking", "never had no knocking", "ain't no knocking"])
def test_two_denials_of_one_thing_are_one(text: str) -> None:
    assert heard(text).get("knock-while-running") == "absent"


@pytest.mark.parametrize(
    ("text", "absent", "present"),
    [
        ("no knock, rattle or burnt oil", {"knock-while-running", "oil-burnt"}, set[str]()),
        ("no knock burnt smell of the oil", {"knock-while-running"}, {"oil-burnt"}),
        ("neither knocking nor burnt oil", {"knock-while-running", "oil-burnt"}, set[str]()),
        ("contactor not burnt compressor knocking", {"contactor-bad"}, {"knock-while-running"}),
    ],
)
def test_a_list_is_denied_as_a_whole_and_what_follows_is_not(text: str, absent: set[str], present: set[str]) -> None:
    found = heard(text)
    assert {key for key, state in found.items() if state == "absent"} >= absent
    assert {key for key, state in found.items() if state == "present"} >= present


def test_a_denied_verb_behind_a_denial_that_is_spent_is_denied() -> None:
    assert heard("not cold today is not knocking").get("knock-while-running") == "absent"


def maintenance_lines() -> list[tuple[str, str]]:
    folder = os.environ.get("WITNESSMARK_DATA") or str(Path(__file__).parents[5] / "shared" / "data")
    file = Path(folder) / "maintie_ac_slice.tsv"
    if not file.is_file():
        pytest.skip("maintie_ac_slice.tsv is not here; name its folder in WITNESSMARK_DATA")
    with file.open(encoding="utf-8") as lines:
        return [(row["text"], row["states"] or "") for row in csv.DictReader(lines, delimiter="\t")]


def test_no_failed_state_of_open_work_orders_is_read_as_sound() -> None:
    """125 lines of MaintIE (Bikaun, French, Stewart, Liu, Hodkiewicz: LREC-COLING 2024, MIT), annotated by experts.

    Not part of this repository. `not working` is a failed state there, no denial of one.
    """
    lines = maintenance_lines()
    failed = [text.replace("<id>", "").strip() for text, states in lines if "FailedState" in states]
    assert len(failed) >= 40
    for text in failed:
        assert set(heard(text).values()) <= {"present", "unknown"}, text


def test_open_work_orders_raise_no_danger_of_their_own() -> None:
    texts = [text.replace("<id>", "").strip() for text, _ in maintenance_lines()]
    fired = [
        text
        for text in texts
        if {n.rule for n in alarms(read_note(text).matches)} & {"fire-or-smoke", "somebody-is-hurt"}
    ]
    assert fired == []


@pytest.mark.parametrize("text", ["no oil added", "no oil was ever added", "no oil added since new"])
def test_a_denial_of_more_is_not_taken_by_less(text: str) -> None:
    found = heard(text)
    assert found["oil-added"] == "absent"
    assert found.get("oil-quantity") != "low"


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("oil is not clear it is black", "oil-burnt"),
        ("oil wasn't clear it was black", "oil-burnt"),
        ("not quiet it is knocking", "knock-while-running"),
        ("no it is knocking", "knock-while-running"),
    ],
)
def test_a_pronoun_begins_another_statement_that_is_not_denied(text: str, finding: str) -> None:
    """Worst wrong answer: black oil denied by the word that denies the clear one. Left open, it is asked for."""
    assert heard(text).get(finding) in {"present", "unknown"}


def test_a_denial_reaches_over_few_words_only() -> None:
    text = "no word at all yesterday from the new office manager about the bill for the walk in box compressor knocking"
    assert heard(text)["knock-while-running"] == "present"


def test_ammonia_without_a_mask_is_ammonia() -> None:
    """Worst wrong answer: the word that tells the danger greater denies it."""
    assert heard("strong ammonia without any mask on the man").get("ammonia-released") in {"present", "unknown"}


@pytest.mark.parametrize("text", ["insulation not acceptable", "the insulation is not acceptable"])
def test_what_is_not_in_order_is_not_read_as_sound(text: str) -> None:
    """Worst wrong answer: a winding to ground that is told as good because its words hold that it is acceptable."""
    assert heard(text)["insulation-low"] == "present"


def test_a_denial_between_the_names_of_a_gas_leaves_it_named() -> None:
    """Nobody can say what `no gas without NH3` means: ammonia is among what is asked about."""
    assert "ammonia-released" in {match.finding for match in read_note("no gas without NH3").matches}
