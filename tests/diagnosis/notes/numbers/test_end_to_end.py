"""Numbers with units beside the words they belong to, held against the limits of the engine's readings."""

from __future__ import annotations

import pytest

from witnessmark.calculations.electrical.supply_unbalance import unbalance
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.notes.matches import Match
from witnessmark.diagnosis.notes.matching import match
from witnessmark.diagnosis.notes.numbers import numbers_in


def only(text: str) -> Match:
    (result,) = match(text)
    return result


def states(text: str) -> dict[str, str]:
    return {m.finding: m.state for m in match(text)}


@pytest.mark.parametrize(
    ("text", "finding", "state"),
    [
        ("superheat 1.5 K", "suction-superheat", "low"),
        ("SH 27 °F", "suction-superheat", "normal"),
        ("SH 45F", "suction-superheat", "high"),
        ("2 K superheat", "suction-superheat", "low"),
        ("SH 0", "suction-superheat", "low"),
        ("superheat 1-2 K", "suction-superheat", "low"),
        ("superheat 2 to 3 deg C", "suction-superheat", "low"),
        ("superheat less than 3 K", "suction-superheat", "low"),
        ("superheat over 40 F", "suction-superheat", "high"),
        ("discharge superheat 6 K", "discharge-superheat-low", "present"),
        ("sump superheat 3 K", "sump-cold-running", "present"),
        ("sump superheat 4 K at standstill", "sump-cold-at-rest", "present"),
        ("DLT 270F", "discharge-temperature-high", "present"),
        ("DLT 90 C", "discharge-temperature-high", "absent"),
        ("DLT 400 K", "discharge-temperature-high", "present"),
        ("subcooling 1 K", "subcooling", "low"),
        ("6 K drop across the drier", "liquid-line-temperature-drop", "present"),
        ("0.4 megohm to ground", "insulation-low", "present"),
        ("20 kohm to earth", "insulation-low", "present"),
        ("megger 500 MΩ", "insulation-low", "absent"),
        ("meg 0 ohm", "insulation-low", "present"),
        ("amps 45% of RLA", "running-current", "low"),
        ("amps 8 of 21 RLA", "running-current", "low"),
        ("pulling 130 % RLA", "running-current", "high"),
        ("amps 7 of RLA 19", "running-current", "low"),
        ("190 V on a 230 V supply voltage", "supply-voltage", "low"),
        ("voltage unbalance 4.1 %", "voltage-unbalance", "present"),
        ("voltage unbalance 0.6 percent", "voltage-unbalance", "absent"),
        ("volts 468/480/440", "voltage-unbalance", "present"),
        ("volts 402 398 401", "voltage-unbalance", "absent"),
        ("amps 22/31/24", "current-unbalance", "present"),
        ("winding 0.9 / 0.9 / 1.4 ohm", "winding-resistances-unequal", "present"),
        ("current unbalance 17%", "current-unbalance", "present"),
        ("20 starts an hour", "short-cycling", "present"),
        ("4 starts per hour", "short-cycling", "absent"),
        ("TAN 0.5", "acid-test-positive", "present"),
        ("water 450 ppm", "moisture-high", "present"),
        ("oil colour 7", "oil-burnt", "present"),
        ("recovered 6 lb of 11", "charge-short", "present"),
        ("recovered 14 lb, nameplate says 9", "charge-over", "present"),
        ("head 250 suct 240", "no-pressure-difference", "present"),
        ("suction 140 psi head 152 psi", "no-pressure-difference", "present"),
        ("gauges read 118 and 121", "no-pressure-difference", "present"),
        ("hour meter shows 71,000 h", "high-hours", "present"),
        ("22 years old", "high-hours", "present"),
        ("compressor 2 years old", "high-hours", "absent"),
    ],
)
def test_numbers_become_states(text: str, finding: str, state: str) -> None:
    assert states(text)[finding] == state


@pytest.mark.parametrize(
    ("text", "quantity", "value"),
    # 27 °F difference = 27/1.8 K; 250 °F = (250 + 459.67)/1.8 K (NIST SP 811, B.8)
    [
        ("SH 27 °F", "suction-superheat", 27 / 1.8),
        ("DLT 250F", "discharge-temperature", (250 + 459.67) / 1.8),
        ("0.4 megohm to ground", "insulation-resistance", 0.4e6),
        ("amps 8 of 21 RLA", "current-over-rated", 8 / 21),
        ("superheat 2-4 K", "suction-superheat", 3.0),
        ("suction 140 psi head 152 psi", "pressure-difference-running", 12 * 6894.757),
    ],
)
def test_the_reading_comes_along_in_si(text: str, quantity: str, value: float) -> None:
    result = only(text)
    assert result.quantity == quantity
    assert result.value == pytest.approx(value, rel=1e-6)
    assert catalogue()[quantity].limits[0] <= value <= catalogue()[quantity].limits[1]


@pytest.mark.parametrize("text", ["SH 2", "superheat less than 3 K"])
def test_no_value_where_unit_or_number_is_not_certain(text: str) -> None:
    assert only(text).value is None


def test_unbalance_of_three_is_that_of_the_standard() -> None:
    """NEMA MG 1, 14.36: greatest deviation from the mean over the mean."""
    expected = unbalance([Measured(v) for v in (468.0, 480.0, 440.0)]).fraction.value
    assert only("volts 468/480/440").value == pytest.approx(expected)
    assert expected == pytest.approx((462.6666667 - 440) / 462.6666667)


@pytest.mark.parametrize(
    "text",
    [
        "SH 8",  # 8 K is normal, 8 °F is low: not to be decided without the unit
        "superheat 3 to 8 K",  # one in, one out
        "superheat less than 12 K",
        "superheat 12 psi",
        "superheat 5000 K",  # no superheat
        "DLT 9000 F",
        "suction 45 psi",
        "compression ratio 9",  # high for comfort cooling, not for a freezer
        "insulation 5 V",
        "amps 5/5",
        "amps 0/0/0",
        "amps 8 of 0",
        "volts 9999999/1/1",
        "winding 3/3/9 V",
        "charge 80 %",
        "superheat " + "9" * 400 + " K",
        "gauges read 3 and 5 and 9 psi",
        "oil tank 2 K",
    ],
)
def test_numbers_that_settle_nothing_say_nothing(text: str) -> None:
    assert match(text) == ()


def test_a_number_near_a_limit_counts_for_less() -> None:
    assert only("superheat 5.5 K").score < only("superheat 10 K").score
    assert only("SH 2").score < only("SH 2 K").score


def test_a_number_outweighs_the_word_that_it_belongs_to() -> None:
    assert states("voltage unbalance 0.5 %") == {"voltage-unbalance": "absent"}


def test_a_difference_in_percent_is_no_share() -> None:
    assert states("amps 15 % above nameplate") == {"running-current": "high"}


def test_numbers_go_to_the_nearest_quantity() -> None:
    assert states("SH 3 K SC 6 K DLT 300F") == {
        "suction-superheat": "low",
        "subcooling": "normal",
        "discharge-temperature-high": "present",
    }
    assert states("3 K SH, 6 K SC") == {"suction-superheat": "low", "subcooling": "normal"}


def test_three_plain_ohms_are_no_insulation() -> None:
    """Between the phases; three megohm, or nothing at all, are to ground."""
    assert "insulation-low" not in states("1.2 1.2 1.2 ohm, megger done")
    assert states("megger 0.1/0.2/0.1 megohm to ground")["insulation-low"] == "present"
    assert states("megger 0/0/0 ohm to ground")["insulation-low"] == "present"


@pytest.mark.parametrize(
    ("text", "volts"),
    [
        ("supply two hundred and eight volts", 208.0),
        ("supply two hundred thirty volts", 230.0),
        ("head 2 460 volts supply", 460.0),
    ],
)
def test_numbers_in_words_and_numbers_of_heads(text: str, volts: float) -> None:
    assert [number.values for number in numbers_in(text) if number.quantity == "supply-voltage"] == [(volts,)]


@pytest.mark.parametrize("text", ["3 x 0.41 ohm, 80 M to earth", "1.2 ohm and 500 M to ground"])
def test_what_is_told_in_megohms_is_the_insulation_not_the_ohms_beside_it(text: str) -> None:
    """The worst wrong answer: a sound motor condemned by the resistance of its winding."""
    (insulation,) = (number for number in numbers_in(text) if number.quantity == "insulation-resistance")
    assert insulation.values[0] >= 80e6


def test_a_list_ends_before_another_unit() -> None:
    values = {number.quantity: number.values for number in numbers_in("ohms 1.1 1.1 1.1, 300 megs to ground")}
    assert values == {"winding-resistances": (1.1, 1.1, 1.1), "insulation-resistance": (300e6,)}


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("megger U-PE 450 MOhm, V-PE 430 MOhm, W-PE 0.2 MOhm", "present"),
        ("megger 550M 600M 0.3M", "present"),
        ("megged T1 0.2M T2 500M T3 500M", "present"),
        ("500/500/0.2 megohms to ground", "present"),
        ("megger 550M 600M 500M", "absent"),
    ],
)
def test_the_lowest_of_a_row_to_ground_decides(text: str, state: str) -> None:
    """The worst wrong answer: a grounded leg hidden among good ones, and power put on."""
    assert states(text)["insulation-low"] == state
