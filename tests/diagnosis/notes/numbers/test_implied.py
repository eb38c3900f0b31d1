"""Findings that the numbers of a note imply, the worst wrong answers first."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.notes.numbers import Implied, implied, misheard, numbers_in


def findings(text: str, machine: Machine | None = None) -> dict[str, str]:
    return {one.finding: one.state for one in implied(numbers_in(text), machine) if not one.before}


def only(text: str) -> Implied:
    (one,) = implied(numbers_in(text))
    return one


@pytest.mark.parametrize(
    "text",
    [
        "1.2 megohm cold, .5 hot",
        "Megger 2 megohm cold, .4 hot",
        "cold 1.2 meg hot .5",
        "insulation good 0.3 meg",
        "meg 0",
        "0 ohm to shell",
        "dead short to shell",
        "megger zero to ground",
        "T1 to ground 200 ohm",
        "20 kohm to earth",
        "winding to ground two point five ohms",
        "half a meg to ground",
        "half meg to ground",
        "megger under 1 meg",
        "900 meg at first, then 0.2 meg to ground",
        "COMP 1 MEGS 0.1",
        "0,4 MΩ to ground",
        "terminals to shell 40 000 ohm",
        "megs 0.05 hot",
    ],
)
def test_a_grounded_winding_is_never_read_as_good(text: str) -> None:
    assert findings(text)["insulation-low"] == "present"


@pytest.mark.parametrize(
    "text",
    [
        "over a gig to ground",
        "> 500 meg",
        "> 2000 MOHM",
        "OL to ground",
        "infinite to ground",
        "600 megs to earth",
        "not under 200 meg to ground",
        "windings 0.61 0.61 0.62 ohm, 999 M at 500V",
        "0.9 0.9 0.9 across the board, 800 meg to ground",
        "megged at 500 V 300 meg",
        "at least 50 megohm",
        "½ gig to ground",
    ],
)
def test_a_good_winding_is_never_read_as_grounded(text: str) -> None:
    assert findings(text)["insulation-low"] == "absent"


@pytest.mark.parametrize(
    "text",
    ["megged out 250 ohms balanced", "windings 1.2 1.2 1.2 ohm", "C-S 2.9 C-R 1.1 S-R 3.9", "4.5 ohm start winding"],
)
def test_ohms_among_the_windings_are_no_insulation(text: str) -> None:
    assert "insulation-low" not in findings(text)


@pytest.mark.parametrize(
    ("text", "superheat", "subcooling"),
    [
        ("SH: 2F SC: 18F", "low", "normal"),
        ("SC: 18F SH: 2F", "low", "normal"),
        ("SH 2F, SC 18F", "low", "normal"),
        ("2 K SH 18 K SC", "low", "high"),
        ("18 K subcooling 2 K superheat", "low", "high"),
        ("SH 3 K, 6 K SC", "low", "normal"),
        ("SH 40 SC 1", "high", "low"),
        ("sh 2 K sc 18 K", "low", "high"),
        ("R410A 118/340 psi SH 3 SC 12", "low", "normal"),
        ("SH=25 K; SC=1 K", "high", "low"),
        ("superheat of 2 K and subcooling of 14 K", "low", "high"),
    ],
)
def test_superheat_and_subcooling_are_never_swapped(text: str, superheat: str, subcooling: str) -> None:
    found = findings(text)
    assert (found["suction-superheat"], found["subcooling"]) == (superheat, subcooling)


def test_without_a_unit_only_what_every_unit_says_is_said() -> None:
    assert findings("sh 2 sc 18") == {"suction-superheat": "low"}
    assert findings("SH 8") == {}


@pytest.mark.parametrize(
    "text",
    [
        "L1 18 L2 0 L3 19 amps",
        "0 / 41 / 43 amps",
        "0 / 88 / 91 hum",
        "amps 20 0 21",
        "L1 20 L2 0 L3 21",
        "volts 480/0/240",
        "20 A on L1, 21 A on L2, 0 A on L3",
        "0/40/40 A",
    ],
)
def test_a_lost_leg_is_seen_and_not_called_unbalance(text: str) -> None:
    found = findings(text)
    assert found["phase-missing"] == "present"
    assert not {"current-unbalance", "voltage-unbalance"} & found.keys()


@pytest.mark.parametrize("text", ["amps 19 20 19.5", "L1 18 L2 18.2 L3 18.4 amps", "volts 460/458/462"])
def test_three_like_legs_are_no_lost_leg(text: str) -> None:
    found = findings(text)
    assert found
    assert set(found.values()) == {"absent"}


def test_bar_is_not_taken_for_psi() -> None:
    """3 bar and 3 psi of net oil pressure are normal and low; without a unit or a system neither is said."""
    assert findings("net oil 3 bar") == {"net-oil-pressure": "normal"}
    assert findings("net oil 3 psi") == {"net-oil-pressure": "low"}
    assert findings("net oil 3, suction 2.1 bar") == {"net-oil-pressure": "normal"}
    assert "net-oil-pressure" not in findings("net oil 3")


@pytest.mark.parametrize(
    ("text", "finding", "state"),
    [
        ("TAN 0.04", "acid-test-positive", "absent"),
        ("acid number of the oil is 0.03", "acid-test-positive", "absent"),
        ("TAN 0.42 mg KOH/g, POE limit 0.15", "acid-test-positive", "present"),
        ("acid 0.12 limit is 0.15", "acid-test-positive", "absent"),
        ("meg 1.1, our limit is 2", "insulation-low", "present"),
        ("CR 11.6 limit 10", "compression-ratio-high", "present"),
        ("recovered 54 % of nameplate", "charge-short", "present"),
        ("got 3 lb out of 12", "charge-short", "present"),
        ("11 lb 2 nameplate 8 lb 0", "charge-over", "present"),
        ("reclaimed 14 lb 3 oz nameplate 14 lb 2 oz", "charge-short", "absent"),
        ("out came 9.4 kg, plate 6.8 + 0.5 for pipe", "charge-over", "present"),
        ("C-S OL C-R 1.2", "start-winding-open", "present"),
        ("C-S 4.6 C-R 1.1 S-R 5.7", "start-winding-open", "absent"),
        ("C-R OL C-S 3.1 S-R OL", "winding-open", "present"),
        ("C-S OL, C-R OL, S-R 6.4 ohm, can is stone cold", "protector-open-cold", "present"),
        ("hot shell, C-S OL, C-R OL, S-R 6.4 ohm", "protector-open-hot", "present"),
        ("1-2 0.81 2-3 0.80 1-3 OL shell cold", "winding-open", "present"),
        ("U-V .92 V-W .92 U-W 1.04", "winding-resistances-unequal", "present"),
        ("L1-L2 398 L2-L3 412 L1-L3 389", "voltage-unbalance", "present"),
        ("460/458/462 at the lugs", "voltage-unbalance", "absent"),
        ("446 on a 400 V machine", "supply-voltage", "high"),
        ("27 / 19 / 22 A", "current-unbalance", "present"),
        ("RLA 22.4 reading 28.1 / 27.9 / 28.3", "running-current", "high"),
        ("volts 401/399/402 on a 460 rated", "supply-voltage", "low"),
        ("18 A on a 22 A nameplate", "running-current", "normal"),
        ("amps 15 % above nameplate", "running-current", "high"),
        ("amps up 25 %", "running-current", "high"),
        ("amps 40 % low", "running-current", "low"),
        ("hums pulling 112 A, LRA on plate is 115", "locked-rotor-current", "present"),
        ("LRA 77 of 78", "locked-rotor-current", "present"),
        ("start cap 40 mfd should be 88", "capacitor-bad", "present"),
        ("cap 45 reads 28 uF", "capacitor-bad", "present"),
        ("cap 44.6 on a 45", "capacitor-bad", "absent"),
        ("24 V transformer sags to 17.6 when the contactor pulls", "control-voltage-low", "present"),
        ("241V at rest, goes to 171 when it tries to start", "terminal-voltage-low-at-start", "present"),
        ("start dip 230 to 219", "terminal-voltage-low-at-start", "absent"),
        ("low side 118 high 121 on 410", "no-pressure-difference", "present"),
        ("suction -0.4 bar gauge", "suction-pressure", "low"),
        ("suction 5 in vacuum", "suction-pressure", "low"),
        ("suction 12 psi should be 28", "suction-pressure", "low"),
        ("head 31.5 bar, should be 20ish", "condensing-pressure", "high"),
        ("oil pump 44 psi crankcase 39 so net 5", "net-oil-pressure", "low"),
        ("trips after 10 min", "trips-after-minutes", "present"),
        ("17 minutes at 46 A then overload opens", "trips-after-minutes", "present"),
        ("runs 2 minutes off 1", "short-cycling", "present"),
        ("starts every 100 s", "short-cycling", "present"),
        ("on 20 min off 10 min", "short-cycling", "absent"),
        ("average run 55 sec", "short-cycling", "present"),
        ("no less than 35 starts an hour", "short-cycling", "present"),
        ("DLT between 230 and 250 F", "discharge-temperature-high", "present"),
        ("dlt never over 82 C", "discharge-temperature-high", "absent"),
        ("superheat swings 2 to 19 K", "superheat-hunting", "present"),
        ("evap temp 4C, sump 7C while running", "sump-cold-running", "present"),
        ("at rest sump 14 C, sat 12 C", "sump-cold-at-rest", "present"),
        ("sump only 3 K over sat at rest", "sump-cold-at-rest", "present"),
        ("drier 34 C in, 22 C out", "liquid-line-temperature-drop", "present"),
        ("14 degree drop over the drier", "liquid-line-temperature-drop", "present"),
        ("12 psi drop across the suction drier", "suction-drop-high", "present"),
        ("RV tight, 1 K across it", "reversing-or-bypass-valve-leaks", "absent"),
        ("Oil drained 0.4 l against a charge of 3.3 l", "oil-quantity", "low"),
        ("oil charge 3.25 l drained 2.1", "oil-quantity", "low"),
        ("hour meter 81 460", "high-hours", "present"),
        ("84K HRS ON IT", "high-hours", "present"),
        ("vacuum pulled to 2 400 microns", "vacuum-not-proven", "present"),
        ("DC bus 410 should be 565", "dc-bus-wrong", "present"),
        ("heater drawing 0.0 A", "heater-dead", "present"),
        ("water 450 ppm", "moisture-high", "present"),
    ],
)
def test_numbers_imply(text: str, finding: str, state: str) -> None:
    assert findings(text).get(finding) == state


@pytest.mark.parametrize(
    "text",
    [
        "POE should have less than 50 ppm water before charging",
        "keep discharge line below 107 C",
        "voltage unbalance must stay under 2 %",
        "max 12 starts an hour",
        "5 hp compressor",
        "in 2019 comp 2 was changed",
        "SH falls to 0 K for 4 min after defrost, then back",
        "suction up 0.6 bar a min",
        "superheat 7 K at the evaporator",
        "grit 50 micron",
        "order 3 pole contactor 40 A 24 V coil, model 208 V",
        "opens on the low pressure switch after 40 secs",
        "closes again after 45 min",
        "starts every call 12 out of 12",
        "C-S OL, C-R OL",
        "compression ratio 9",
        "LP alarm 41, HP alarm 3",
        "sump 38, heater 70 W",
        "gauges equal at rest 118 and 118",
        "no hunting, superheat between 4 and 6 K",
        "winding 3/3/9 V",
        "cap 40.2",
        "L1 18 L2 19",
        "superheat 12 psi",
        "12 men 3 h",
        "drier 34 in",
        "2 A and 3 A and 5",
        "U-V 0.9 V-W 0.9",
        "1-2 0.81 2-3 0.80 ohm",
        "sump 30 sat 14",
        "40 starts a week",
        "recovered 11 lb 2 psi",
        "81 oz out of a 60 oz comp",
        "cond water 98",
    ],
)
def test_nothing_is_implied_by(text: str) -> None:
    assert findings(text) == {}


def test_what_was_so_before_is_told_apart() -> None:
    found = implied(numbers_in("DLT was 126 C in August, 84 C now"))
    assert [(one.state, one.before) for one in found] == [("present", True), ("absent", False)]
    assert findings("suction superheat dropped from 12 to 2 K") == {"suction-superheat": "low"}
    assert findings("Before the repair superheat 1 K. Now 8 K superheat.") == {"suction-superheat": "normal"}


def test_phases_decide_how_windings_are_judged() -> None:
    """A good single-phase motor has three unequal resistances."""
    text = "windings 2.5 1.7 4.2 ohm"
    assert "winding-resistances-unequal" not in findings(text, Machine(phases="single-phase"))
    assert findings(text, Machine(phases="three-phase"))["winding-resistances-unequal"] == "present"
    assert "winding-resistances-unequal" not in findings("C-S 2.5 C-R 1.7 S-R 4.2", Machine(phases="single-phase"))


def test_score_falls_with_doubt_of_unit_limit_and_label() -> None:
    certain = only("superheat 10 K").score
    assert only("superheat 5.5 K").score < certain
    assert only("SH 2").score < certain
    assert only("10 % amps imbalance").quantity == "current-unbalance"
    assert only("500 meg").score < only("500 meg to ground").score


def test_what_stands_behind_a_reading_is_its_own() -> None:
    found = findings("High volts, 509 on a 460 motor, and amps 44 38 36")
    assert found == {"supply-voltage": "high", "current-unbalance": "present"}


def test_where_an_implied_finding_stands() -> None:
    text = "checked all: superheat 1.5 K, fine else"
    one = only(text)
    assert text[one.start : one.end] == "superheat 1.5 K"
    assert (one.quantity, one.value) == ("suction-superheat", 1.5)


def test_rows_without_a_certain_value_say_nothing() -> None:
    assert findings("cap 45 reads 0 ohm") == {}
    assert findings("amps 20 0 21 on a 0 A plate")["phase-missing"] == "present"


def test_windings_that_cannot_be_as_told_call_no_winding_open_or_sound() -> None:
    """Both windings conduct to common, yet nothing from start to run: one was read or labelled wrongly."""
    assert findings("C-S 2.9 C-R 1.1 S-R OL") == {}


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("1.2 kg over", "charge-over"),
        ("9 lb light on charge", "charge-short"),
        ("recovered 9 lb, 2 lb short", "charge-short"),
    ],
)
def test_by_how_much_the_charge_is_off_tells_to_which_side(text: str, finding: str) -> None:
    """Worst wrong answer: an overcharge read as a shortage, so that more is added."""
    said = findings(text)
    assert said[finding] == "present"
    assert {"charge-over", "charge-short"} - {finding} - said.keys()


def test_a_cold_room_is_judged_by_what_it_is_for() -> None:
    for text, state in (
        # common practice: cold food at 5 °C or less
        ("walk-in 50F", "present"),
        ("walk-in 39F", "absent"),
        ("fridge 11C", "present"),
        ("nevera a 12 C", "present"),
        # common practice: frozen food at 0 °F (-18 °C)
        ("freezer at 30F", "present"),
        ("freezer at 38 degrees", "present"),
        ("freezer plus 20", "present"),
        ("freezer -4F", "absent"),
        # common practice: cellars of beer and wine at 11 to 14 °C
        ("beer cellar 12C", "absent"),
        ("box at +16 target -12", "present"),
        ("box 46 set 35", "present"),
        ("set 36 reads 50", "present"),
        ("box reads 49 supposed to be 36", "present"),
        ("box 36 set 35", "absent"),
        ("house 85 set 72", "present"),
        ("server room 45C", "present"),
        # one is fine in one unit and a fault in the other
        ("walk in at 38", None),
        ("freezer at -5", None),
        ("walk-in 12 psi", None),
        ("freezer 2 fans", None),
    ):
        assert findings(text).get("capacity-low") == state, text


def test_a_winding_far_below_the_others_and_a_head_beyond_any_refrigerant() -> None:
    assert findings("2 meg A, 600 meg B, 600 meg C") == {"insulation-low": "present"}
    assert findings("600 meg A, 500 meg B, 600 meg C") == {"insulation-low": "absent"}
    assert findings("head went past 690 psi") == {"condensing-pressure": "high"}
    assert findings("head 380 psi") == findings("R744 head 1250 psi") == findings("cascade head 690 psi") == {}


def test_numbers_of_air_water_switches_and_plates_are_taken_for_nothing_else() -> None:
    for text, finding in (
        ("water in 55 out 46", "water-in-circuit"),
        ("discharge air 230F off the heater bank", "discharge-temperature-high"),
        ("HP cutout set 400", "high-pressure-trips"),
        ("RLA 17 LRA 121 like for like", "locked-rotor-current"),
    ):
        assert finding in misheard(numbers_in(text)), text
    assert "locked-rotor-current" not in misheard(numbers_in("RLA 17 LRA 121 pulling 118"))
