"""Numbers of a note handed over as readings of a diagnosis."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.diagnosis.notes.numbers import fields_of, numbers_in, shares_of


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("SH 2 K, SC 18 K", {"suction_superheat": (2.0,), "subcooling": (18.0,)}),
        ("18 A on a 22 A nameplate", {"running_current": (18.0,), "rated_current": (22.0,)}),
        ("1.2 megohm cold, .5 hot", {"insulation_resistance": (1.2e6,), "insulation_resistance_hot": (5e5,)}),
        ("meg 0.3 then 400 meg", {"insulation_resistance": (3e5,)}),
        ("L1 18 L2 0 L3 19 amps", {"line_currents": (18.0, 0.0, 19.0)}),
        ("superheat 12 K, later superheat 3 K", {"suction_superheat": (3.0,)}),
        ("compression ratio 4.1", {"compression_ratio": (4.1,)}),
    ],
)
def test_fields(text: str, fields: dict[str, tuple[float, ...]]) -> None:
    assert fields_of(numbers_in(text)) == fields
    assert fields.keys() <= set(FieldReadings.__dataclass_fields__)


@pytest.mark.parametrize(
    "text", ["SH 12", "superheat under 3 K", "superheat 2 to 4 K", "SH 0 K after defrost", "hour meter 70 000 h"]
)
def test_what_is_not_certain_or_no_field_is_not_handed_over(text: str) -> None:
    assert fields_of(numbers_in(text)) == {}


def test_what_was_before_is_not_handed_over() -> None:
    assert fields_of(numbers_in("DLT was 126 C in August, 84 C now")) == {"discharge_temperature": (357.15,)}


def test_the_highest_current_over_its_rating_is_told() -> None:
    for text, share in (
        ("45% over nameplate amps", 1.45),
        ("amps over RLA by 30%", 1.3),
        ("30 % por encima de la placa, amperaje", 1.3),
        ("RLA 10 pulling 14", 1.4),
        ("jala 18 amperes, placa 12", 1.5),
        ("name plate 12, clamp says 18", 1.5),
        ("comp 1: 10 A RLA 12. comp 2: 18 A RLA 12", 1.5),
    ):
        assert shares_of(numbers_in(text))["current-over-rated"] == pytest.approx((share,)), text
    assert shares_of(numbers_in("pulling 14")) == {}
    assert shares_of(numbers_in("was 14 of 10 RLA last year, now 9 of 10 RLA"))["current-over-rated"][0] < 1
