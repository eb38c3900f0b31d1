"""What is read at a fan, a blower or a pump is no reading of the compressor. Worst: a good compressor is condemned."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.numbers import fields_of, numbers_in

LEARNED = True


def told(text: str) -> set[str]:
    return {m.finding for m in read_note(text).matches}


@pytest.mark.parametrize(
    "text",
    [
        "cond fan motor shorted winding to case 0.0M",
        "blower motor winding to ground 0.1 meg",
        "condenser fan motor megs 0.2",
        "blower amps 6.1 fla 7",
        "evap fan motor seized. megs 0.1",
        "motor del ventilador en corto, 0 megas a tierra",
        "cond fan dead, pulls 3.1 amps",
        "drain heater 0.0 meg to ground",
        "water pump seized, legs 4.1 4.0 9.9",
    ],
)
def test_another_motor_gives_no_reading(text: str) -> None:
    assert not fields_of(numbers_in(text))
    assert told(text).isdisjoint({"insulation-low", "running-current", "current-unbalance"})


def test_what_another_motor_draws_is_heard_as_nothing() -> None:
    text = "cond fan 2 out, cap 5uF reads 1.3. installed 5 uF, amps 1.1. fan 1 ok"
    reading = read_note(text)
    assert not reading.readings
    assert told(text) == {"capacitor-bad"}
    (capacitor,) = [number for number in numbers_in(text) if number.quantity == "run-capacitor"]
    assert [*capacitor.values, *capacitor.beside] == pytest.approx([1.3e-6, 5e-6])


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("cond fan dead, comp to ground 0.2 meg", {"insulation_resistance": (2e5,)}),
        ("blower motor seized, megs 0.1. compressor megs 500", {"insulation_resistance": (5e8,)}),
        ("ventilador quemado, a tierra 0.0 M. compresor 200 M a tierra", {"insulation_resistance": (2e8,)}),
        ("fan ok, amps 12", {"running_current": (12.0,)}),
        ("evap fan not bad, amps 12", {"running_current": (12.0,)}),
        ("cond fan stuck, amps 12 rla 15", {"running_current": (12.0,), "rated_current": (15.0,)}),
        ("fan motor replaced. megger 0.2 all phases to ground", {"insulation_resistance": (2e5,)}),
        ("fan seized, amps 3, head 380", {"discharge_pressure": (380 * 6894.757 + 101_325,)}),
    ],
)
def test_the_compressor_keeps_its_own(text: str, fields: dict[str, tuple[float, ...]]) -> None:
    found = fields_of(numbers_in(text))
    assert found.keys() == fields.keys()
    assert all(found[name] == pytest.approx(values, rel=1e-5) for name, values in fields.items())


@pytest.mark.parametrize(
    ("text", "value", "mark"),
    [
        ("run cap 45uF reads 31", 31.0, 45.0),
        ("cap 45 reads 31. installed 45 uF", 31.0, 45.0),
        ("comp cap 45 uF reads 31, installed new 45/5", 31.0, 45.0),
        ("capacitor 35 uF mide 20", 20.0, 35.0),
        ("capacitor 35 uF mide 20, instale 40 uF", 20.0, 35.0),
        ("new cap 45 uF reads 44.8", 44.8, 45.0),
    ],
)
def test_what_was_put_in_is_neither_mark_nor_reading_of_the_old_one(text: str, value: float, mark: float) -> None:
    found = fields_of(numbers_in(text))
    assert found["run_capacitor"] == pytest.approx((value * 1e-6,))
    assert found["run_capacitor_marked"] == pytest.approx((mark * 1e-6,))


def test_a_part_that_was_put_in_is_not_measured() -> None:
    assert fields_of(numbers_in("cap reads 31 uf, installed 45 uf")) == {"run_capacitor": pytest.approx((31e-6,))}
