"""Denial, then the next fault, with nothing between: a small grammar; and denials that are none, or are meant.

No fault may be read as its denial: what cannot be decided is "unclear", never a state.
"""

from __future__ import annotations

from functools import cache
from itertools import product

import pytest

from witnessmark.diagnosis.notes.matching import read_note

SUBJECTS = ("", "unit ", "it's ")
VERBS = (
    "not cooling",
    "won't start",
    "wont run",
    "can't hold pressure",
    "cant keep temp",
    "doesn't run",
    "fails to run",
    "fails to start",
    "refuses to start",
    "not running",
    "not blowing cold",
    "never gets cold",
    "can't get it to start",
    "hasn't worked since friday",
    "not working",
    "not pumping",
    "will not pull down",
    "couldn't reset it",
    "no longer cools",
    "isn't keeping up",
    "unable to restart",
    "never been serviced",
    "not level",
)
THINGS = (
    "no heat",
    "no power",
    "no cooling",
    "no air",
    "no response",
    "no display",
    "no oil added",
    "no gauges on it yet",
    "no ladder",
    "no hum",
    "no lights",
    "no one there",
    "nobody home",
    "no fuse blown",
    "no noise",
    "no smell",
    "no leak found",
    "not the capacitor",
    "not the contactor",
    "not low on gas",
    "not seized",
    "without warning",
    "no luck",
)
FAULTS = {
    "breaker trips every time": "breaker-trips-at-once",
    "hums and trips": "locked-rotor-current",
    "compressor knocking": "knock-while-running",
    "oil is black": "oil-burnt",
    "the oil is burnt": "oil-burnt",
    "windings open": "winding-open",
    "shorted to ground": "insulation-low",
    "contactor burnt": "contactor-bad",
    "acid test positive": "acid-test-positive",
    "condenser dirty": "condenser-fouled",
    "capacitor bulged": "capacitor-bad",
    "suction line frosted": "frost-on-suction",
    "head pressure high": "condensing-pressure",
    "crankcase heater dead": "heater-dead",
}
PHRASES = [
    (f"{subject}{denied} {fault}", finding)
    for k, denied in enumerate((*VERBS, *THINGS))
    for subject, (fault, finding) in product((SUBJECTS[k % 3],), FAULTS.items())
]
DENIED = {"absent", "normal"}


@cache
def heard(text: str) -> dict[str, str]:
    return {m.finding: m.state for m in read_note(text).matches}


def test_there_are_enough_of_them() -> None:
    assert len(PHRASES) >= 600
    assert all("," not in text for text, _ in PHRASES)


def test_no_fault_is_read_as_its_denial() -> None:
    assert [text for text, fault in PHRASES if heard(text).get(fault) in DENIED] == []


def test_most_are_read_as_there() -> None:
    """Measured 0.9 and more; the rest is unclear."""
    there = sum(heard(text).get(fault) in {"present", "high", "low"} for text, fault in PHRASES)
    assert there >= 0.88 * len(PHRASES)


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("no doubt the oil is burnt", "oil-burnt"),
        ("never stops knocking", "knock-while-running"),
        ("nothing but burnt oil", "oil-burnt"),
        ("oil is nothing but black sludge", "oil-burnt"),
        ("it doesn't run without knocking", "knock-while-running"),
        ("there isn't a day it doesn't knock", "knock-while-running"),
        ("no wonder it's knocking", "knock-while-running"),
        ("couldn't stop it knocking", "knock-while-running"),
        ("wasn't knocking yesterday now it knocks", "knock-while-running"),
        ("no change still knocking", "knock-while-running"),
        ("zero ohms to ground", "insulation-low"),
        ("no continuity start to common", "winding-open"),
        ("never fails to trip the breaker", "breaker-trips-at-once"),
        ("not to mention the oil is burnt", "oil-burnt"),
        ("the oil is burnt no question", "oil-burnt"),
        ("contactor burnt not safe to run", "contactor-bad"),
        ("compressor knocking no cooling", "knock-while-running"),
        ("oil black no filter drier installed", "oil-burnt"),
        ("condenser plugged nobody cleaned it", "condenser-fouled"),
        ("not the breaker contactor burnt", "contactor-bad"),
    ],
)
def test_what_is_no_denial_of_it_is_there(text: str, finding: str) -> None:
    assert heard(text)[finding] == "present"


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("isn't it obvious the oil is burnt", "oil-burnt"),
        ("don't tell me the oil isn't burnt", "oil-burnt"),
        ("nobody noticed the oil was burnt", "oil-burnt"),
        ("no one told me the contactor was burnt", "contactor-bad"),
        ("didn't see the oil was black", "oil-burnt"),
        ("can't run it without the breaker tripping", "breaker-trips-at-once"),
        ("didn't replace the burnt contactor", "contactor-bad"),
        ("they never fixed the burnt contactor", "contactor-bad"),
        ("never cleaned the dirty condenser", "condenser-fouled"),
        ("no smell but the oil is burnt", "oil-burnt"),
        ("not pumping hums and trips", "locked-rotor-current"),
        ("not the contactor contacts welded", "contactor-bad"),
    ],
)
def test_what_cannot_be_decided_is_no_denial(text: str, finding: str) -> None:
    assert heard(text).get(finding) not in DENIED


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("no knock", "knock-while-running"),
        ("never heard any knocking", "knock-while-running"),
        ("without any knocking", "knock-while-running"),
        ("neither knocking nor rattling", "knock-while-running"),
        ("windings not open", "winding-open"),
        ("windings are not open and not grounded", "winding-open"),
        ("megger good no short to ground", "insulation-low"),
        ("not grounded", "insulation-low"),
        ("acid test negative", "acid-test-positive"),
        ("no trace of acid in the oil", "acid-test-positive"),
        ("no acid in oil sample", "acid-test-positive"),
        ("oil isn't burnt", "oil-burnt"),
        ("oil doesn't smell burnt", "oil-burnt"),
        ("oil not black", "oil-burnt"),
        ("contactor fine", "contactor-bad"),
        ("no frost on the suction line", "frost-on-suction"),
        ("no ice on the coil", "coil-iced"),
        ("breaker never tripped", "breaker-trips-at-once"),
        ("cap tested good", "capacitor-bad"),
        ("condenser is clean", "condenser-fouled"),
        ("ruled out low charge", "charge-short"),
        ("ruled out a short to ground", "insulation-low"),
        ("oil free of acid, acid test passed", "acid-test-positive"),
    ],
)
def test_a_denial_that_is_meant_is_heard(text: str, finding: str) -> None:
    assert heard(text).get(finding) == "absent"


@pytest.mark.parametrize(
    ("text", "finding"),
    [("head pressure is not high", "condensing-pressure"), ("voltage is not low", "supply-voltage")],
)
def test_what_is_not_high_is_no_sign(text: str, finding: str) -> None:
    assert heard(text).get(finding) in {"normal", "unknown"}
