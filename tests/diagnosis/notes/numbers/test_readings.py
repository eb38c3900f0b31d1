"""Readings with their unit, in SI, as /v1/diagnosis takes them."""

from __future__ import annotations

import gc
import random
import time

import pytest

from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.diagnosis.notes.numbers import Number, implied, numbers_in
from witnessmark.diagnosis.notes.numbers.words.rows import NUMBERS
from witnessmark.diagnosis.notes.numbers.words.terms import terms

PSI, ATMOSPHERE = 6894.757293168, 101325.0


def only(text: str) -> Number:
    (number,) = numbers_in(text)
    return number


@pytest.mark.parametrize(
    ("text", "quantity", "values", "unit"),
    # factors: NIST SP 811, appendix B.8
    [
        ("SH: 18F", "suction-superheat", (10.0,), "F"),
        ("superheat two point five K", "suction-superheat", (2.5,), "K"),
        ("SH 2½ K", "suction-superheat", (2.5,), "K"),
        ("superheat one and a half K", "suction-superheat", (1.5,), "K"),
        ("superheat minus 2 K", "suction-superheat", (-2.0,), "K"),
        ("superheat 2,5 K", "suction-superheat", (2.5,), "K"),
        ("suction a hundred and eighteen psi", "suction-pressure", (118 * PSI + ATMOSPHERE,), "psi"),
        ("suction one twenty psi", "suction-pressure", (120 * PSI + ATMOSPHERE,), "psi"),
        ("suction -0.4 bar gauge", "suction-pressure", (61325.0,), "bar gauge"),
        ("suction 5 in vacuum", "suction-pressure", (ATMOSPHERE - 5 * 3386.389,), "in vacuum"),
        ("head 24.6 bar abs", "discharge-pressure", (24.6e5,), "bar abs"),
        ("suction 60 psia", "suction-pressure", (60 * PSI,), "psia"),
        ("discharge line 250 °F", "discharge-temperature", ((250 + 459.67) / 1.8,), "°F"),
        ("DLT 400 K", "discharge-temperature", (400.0,), "K"),
        ("SH between 30 and 35 F", "suction-superheat", (30 / 1.8, 35 / 1.8), "F"),
        ("megger 1,200 megohm", "insulation-resistance", (1.2e9,), "megohm"),
        ("C-S 2.9 C-R 1.1 S-R 3.9", "winding-resistances", (2.9, 1.1, 3.9), ""),
        ("S-R 3.9 C-S 2.9 C-R 1.1", "winding-resistances", (2.9, 1.1, 3.9), ""),
        ("460/458/462 at the lugs", "line-voltages", (460.0, 458.0, 462.0), ""),
        ("11 A and 12 A and 13 A", "line-currents", (11.0, 12.0, 13.0), "A"),
        ("11 and 12 and 13 amps", "line-currents", (11.0, 12.0, 13.0), "amps"),
        ("ohms 0.44 vs .44 vs .52", "winding-resistances", (0.44, 0.44, 0.52), ""),
        ("amps: 20, 23 and 18.5", "line-currents", (20.0, 23.0, 18.5), ""),
        ("winding 620 mohm 615 mohm 611 mohm", "winding-resistances", (0.62, 0.615, 0.611), "mohm"),
        ("water 120 mg/kg", "oil-water", (1.2e-4,), "mg/kg"),
        ("compression ratio 12:1", "compression-ratio", (12.0,), ""),
        ("runs 2 minutes off 1", "starts-per-hour", (20.0,), "minutes"),
        ("hour meter 81 460", "run-hours", (81460 * 3600.0,), ""),
    ],
)
def test_values_in_si_with_the_unit_as_written(text: str, quantity: str, values: tuple[float, ...], unit: str) -> None:
    number = next(n for n in numbers_in(text) if n.quantity == quantity)
    assert number.values == pytest.approx(values, rel=1e-5)
    assert number.unit == unit


def test_both_sides_of_the_gauges() -> None:
    low, high = numbers_in("98/345 psi on R410A")
    assert (low.quantity, high.quantity) == ("suction-pressure", "discharge-pressure")
    assert high.values == pytest.approx((345 * PSI + ATMOSPHERE,))


@pytest.mark.parametrize(
    ("text", "assumed"),
    [
        ("amps 18", "ampere, as the trade writes it"),
        ("SH 12, suction 118 psi", "fahrenheit degree, since the note is in imperial units"),
        ("SH 8, suction 4.1 bar", "kelvin, since the note is in metric units"),
        ("LP 3.4 HP 19.2 SH 26", "kelvin, since the note is in metric units"),
        ("head 340", "psi gauge, since no gauge shows such a number in another unit"),
        ("SH 12 K", ""),
    ],
)
def test_a_missing_unit_is_taken_only_with_a_reason(text: str, assumed: str) -> None:
    others = {"suction-pressure"} if "SH" in text else set()
    number = next(n for n in reversed(numbers_in(text)) if n.quantity not in others)
    if text.startswith("SH"):
        number = numbers_in(text)[0]
    assert number.assumed == assumed
    assert len(number.values) == 1


@pytest.mark.parametrize(
    "text", ["SH 12", "suction 12", "net oil 5", "SH 12, suction 4 bar, DLT 200 F", "SH 12 degrees"]
)
def test_a_unit_that_is_not_certain_is_said_so_and_gives_no_value(text: str) -> None:
    number = numbers_in(text)[0]
    assert number.values == ()
    assert len(number.possible) == 2
    assert number.assumed == ""


def test_values_beside_a_reading() -> None:
    assert only("18 A on a 22 A nameplate").beside == (22.0,)
    assert only("cap 45 reads 28 uF").beside == pytest.approx((45e-6,))
    assert only("TAN 0.42, limit 0.15").limit == (0.15,)
    assert only("recovered 2.1 kg plate 6.8").beside == (6.8,)
    assert only("drained 0.3 l out of a sump that ought to hold 2.6").beside == pytest.approx((2.6e-3,))
    assert only("superheat 5 K rated amps 22").beside == ()


def test_conditions_sides_and_places() -> None:
    cold, hot = numbers_in("1.2 megohm cold, .5 hot")[0], numbers_in("cold 1.2 meg hot .5 meg")[1]
    assert {*cold.conditions} == {"cold"}
    assert {*hot.conditions} == {"hot"}
    assert numbers_in("2 meg, 3 meg cold")[0].conditions == frozenset()
    assert only("superheat under 3 K").side == -1
    assert only("superheat about 60 F").about
    assert only("L1 18 L2 0 L3 19 amps").tags == ("line:0", "line:1", "line:2")
    assert only("sump superheat 4 K at rest").quantity == "sump-superheat-at-rest"


def test_every_field_is_one_of_the_readings_of_a_diagnosis() -> None:
    known = set(FieldReadings.__dataclass_fields__)
    rows = terms().quantities.values()
    assert {row.field for row in rows} | {row.beside for row in rows} <= known | {""}


@pytest.mark.parametrize(
    ("text", "field", "marked"),
    [("start cap 40 mfd should be 88", "start_capacitor", 88e-6), ("run cap 22 on a 45", "run_capacitor", 45e-6)],
)
def test_fields_of_a_diagnosis(text: str, field: str, marked: float) -> None:
    number = only(text)
    assert number.field == field
    assert number.beside == pytest.approx((marked,))


def test_places_are_characters_of_the_note() -> None:
    text = "İ note: SUPERHEAT 1.5 K"
    number = only(text)
    assert text[number.start : number.end] == "1.5 K"
    assert number.words is not None
    assert text[slice(*number.words)] == "SUPERHEAT"


@pytest.mark.parametrize(
    "part",
    [
        "½ⅷ…",
        "½",
        "sh 2 ",
        "1/2/3/",
        "ol ",
        "one ",
        "9 ",
        "a hundred and ",
        "c-s 1 ",
        "> 5 meg ",
        "sh sc ",
        "-",
        "amps 1 2 3 ",
        "9" * 30 + " ",
    ],
)
def test_hostile_texts_are_read_in_linear_time(part: str) -> None:
    """Twice the text takes about twice the time, whatever it is made of."""

    def taken(length: int) -> float:
        text = (part * length)[:length]
        gc.collect()  # a collection of the whole run's garbage is no time of this
        before = time.process_time()
        implied(numbers_in(text))
        return time.process_time() - before

    taken(500)
    assert taken(20_000) < 12 * max(taken(5_000), 0.02)


def test_no_more_than_so_many_numbers_are_read() -> None:
    assert len(numbers_in("superheat 2 K. " * 1_300)) == 300


@pytest.mark.parametrize(
    "text",
    [
        "",
        "nothing to read",
        "½ ⅓ ¾",
        "12 34",
        "comp 2",
        "it was at 16:04 on 14/3/2024 and 2024-05-06",
        "r-22 R410A '22",
    ],
)
def test_no_reading_in(text: str) -> None:
    assert numbers_in(text) == ()


def test_whatever_words_stand_together_every_number_has_a_value() -> None:
    """400 texts of words of the file and numbers, drawn with a seed."""
    draw = random.Random(7)  # noqa: S311 - a seed, no secret
    rows = NUMBERS()
    words = [w for row in rows.label for w in row.words] + [w for row in rows.unit for w in row.words]
    words += [w for texts in rows.words.values() for w in texts] + [
        "L1",
        "C-S",
        "C-R",
        "OL",
        "1-2",
        "2-3",
        ",",
        "/",
        ".",
        "-",
    ]
    for _ in range(400):
        text = " ".join(
            draw.choice(words) if draw.random() < 0.6 else str(draw.choice((0, 0.5, 2, 18, 410, 9e4)))
            for _ in range(12)
        )
        numbers = numbers_in(text)
        assert all(number.possible and all(number.possible) for number in numbers), text
        assert all(0 <= one.start < one.end <= len(text) for one in implied(numbers)), text


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("dual cap 45/5 reads 44.8/4.9", [(44.8, 45.0, "run_capacitor"), (4.9, 5.0, "")]),
        ("caps 35 and 5 reading 34.6 and 2.1", [(34.6, 35.0, "run_capacitor"), (2.1, 5.0, "")]),
        ("dual cap 5/45 reads 4.9/30", [(4.9, 5.0, ""), (30.0, 45.0, "run_capacitor")]),
        ("dual cap 45/5", []),
    ],
)
def test_a_capacitor_of_two_parts_is_read_part_by_part(text: str, parts: list[tuple[float, float, str]]) -> None:
    found = [n for n in numbers_in(text) if n.quantity == "run-capacitor"]
    assert [(round(n.values[0] * 1e6, 6), round(n.beside[0] * 1e6, 6), n.field) for n in found] == parts


@pytest.mark.parametrize(
    ("text", "states"),
    [
        ("dual cap 45/5 reads 44.8/4.9", ["absent", "absent"]),
        ("dual cap 45/5 reads 31/4.9", ["present"]),
        ("dual cap 45/5 reads 45/2.1", ["present"]),
    ],
)
def test_the_worst_part_of_a_capacitor_counts(text: str, states: list[str]) -> None:
    assert [one.state for one in implied(numbers_in(text)) if one.finding == "capacitor-bad"] == states


@pytest.mark.parametrize(
    "text",
    ["CCH draws 0.3A", "crankcase heater pulls .4 amps", "condenser fan 2.1 amps", "blower motor pulls 5.2 amps",
     "fan amps 1.3", "bomba 3 amperes"],
)  # fmt: skip
def test_what_another_load_draws_is_no_current_of_the_compressor(text: str) -> None:
    assert not [n for n in numbers_in(text) if n.field == "running_current"]


@pytest.mark.parametrize("text", ["R134a suction 4 psig medium temp box 45F", "room 72F return air 75 supply 55"])
def test_the_air_of_a_room_is_no_suction_line(text: str) -> None:
    assert not [n for n in numbers_in(text) if n.field == "suction_temperature"]


def readings(text: str) -> dict[str, tuple[float, ...]]:
    """What was read, rounded, each with what stands beside it."""
    kept = (n for n in numbers_in(text) if n.when == "now" and n.possible)
    return {n.quantity: tuple(round(v, 1) for v in (*n.possible[0], *(n.beside[:1]))) for n in kept}


def test_a_number_goes_to_the_label_that_it_touches_and_no_further() -> None:
    for text, quantity, wanted in (
        ("sup 54 ret 71 amps 15.1/RLA 20", "running-current", (15.1, 20.0)),
        ("SH 12 SC 8 amps ok", "running-current", None),
        ("discharge 228F at 7 in", "discharge-pressure", None),
        ("suction 52F 5 in from comp", "suction-pressure", None),
        ("shell body 118F, suction cold", "suction-temperature", None),
        ("suction line temp 48 suction psi 66", "suction-pressure", (round(66 * PSI + ATMOSPHERE, 1),)),
        ("breaker 50 A, MCA 38", "running-current", None),
        ("1) acid pos 2) acid neg", "oil-acid-number", None),
        ("comp 8.7A / 9.9 RLA", "running-current", (8.7, 9.9)),
        ("added 3 lb weighed", "recovered-charge", None),
        ("found 14 of 12 lb in it", "recovered-charge", (round(14 * 0.45359237, 1), round(12 * 0.45359237, 1))),
        ("40 mfd run cap at 39", "run-capacitor", (0.0, 0.0)),
        ("OAT 91F", "outdoor-temperature", (round((91 + 459.67) / 1.8, 1),)),
        ("481/484/463", "line-voltages", (481.0, 484.0, 463.0)),
        ("219 entre L1 y L2, 222 L2 L3, 199 L1 L3", "line-voltages", (219.0, 222.0, 199.0)),
        ("oil psi 52 suction 27", "net-oil-pressure", (round(25 * PSI, 1),)),
        ("oil pressure 5 psid", "net-oil-pressure", (round(5 * PSI, 1),)),
        ("cutout set 18 cut in 38", "suction-pressure", None),
        ("RLA 17 LRA 121 like for like", "locked-rotor-current", None),
    ):
        assert readings(text).get(quantity) == wanted, text


def test_what_is_now_stands_beside_what_was() -> None:
    for text, quantity, wanted in (
        ("amps were 13 now 24 RLA 16", "running-current", (24.0, 16.0)),
        ("head used to be 240, now 455", "discharge-pressure", (round(455 * PSI + ATMOSPHERE, 1),)),
        ("max head 580, reads 305", "discharge-pressure", (round(305 * PSI + ATMOSPHERE, 1),)),
        ("suction line was 45 F now 60", "suction-temperature", (round((60 + 459.67) / 1.8, 1),)),
        ("suction line was 45 now 60", "suction-temperature", None),
        ("antes 9 A ahora 15 A, placa 10", "running-current", (15.0, 10.0)),
    ):
        assert readings(text).get(quantity) == wanted, text
