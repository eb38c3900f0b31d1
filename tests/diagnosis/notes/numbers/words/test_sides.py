"""Both sides of a circuit without a label. Worst: a supply, a pipe or the weather taken for pressures."""

from __future__ import annotations

from witnessmark.diagnosis.notes.numbers import numbers_in
from witnessmark.diagnosis.notes.numbers.words.sides import can_be_sides

PSI, ATMOSPHERE = 6894.757293168, 101325.0  # NIST SP 811, appendix B.8


def sides(text: str) -> list[float]:
    """Gauge pressures of the low and the high side in psi."""
    read = {n.quantity: n.values for n in numbers_in(text) if n.values}
    names = ("suction-pressure", "discharge-pressure")
    return [round((read[name][0] - ATMOSPHERE) / PSI, 1) for name in names if name in read]


def test_two_numbers_beside_a_refrigerant_or_two_names_are_both_sides() -> None:
    for text, low, high in (
        ("R-22, 66/245 at noon", 66, 245),
        ("404a 18/240", 18, 240),
        ("127 over 405 on R410A", 127, 405),
        ("gas is R134a 31 over 148", 31, 148),
        ("SP 61 DP 262", 61, 262),
        ("sp 61 dp 262 psig", 61, 262),
        ("low 71 high 281", 71, 281),
        ("baja 64 alta 238", 64, 238),
    ):
        assert sides(text) == [low, high], text


def test_what_may_be_something_else_is_left() -> None:
    for text in (
        "R22 208/230 V unit",
        "R410A 120/240",
        "R22 3/8 line",
        "R404A 245/66",
        "66/245",
        "low 55 high 82 outside today",
        "dp 3 psi",
        "R22 ran 20 over 30 minutes",
    ):
        assert sides(text) == [], text


def test_which_numbers_can_be_sides() -> None:
    assert can_be_sides(68, 250)
    assert can_be_sides(2.4, 15.5)
    assert not any(can_be_sides(*pair) for pair in ((250, 68), (120, 240), (5, 16), (100, 110), (-3, 200), (300, 500)))


def test_the_pressures_of_a_test_are_none_of_the_machine() -> None:
    assert sides("nitrogen 450 psi on the high side overnight") == []
    assert sides("450 psi on the high side") == [450]
