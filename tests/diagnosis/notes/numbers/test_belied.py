"""What numbers and the thing spoken of do not bear out; end to end in test_everyday.py."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.numbers import belied, numbers_in, of_number

Span = tuple[int, int]


def spans(text: str, *words: str) -> list[Span]:
    return [(text.index(word), text.index(word) + len(word)) for word in words]


@pytest.mark.parametrize(
    ("heard", "text", "words", "is_belied"),
    [
        (("condensing-pressure", "high"), "HP 26 bar LP 8 bar", ("HP", "26 bar"), True),
        (("condensing-pressure", "high"), "head 26 bar, far too much", ("head", "far"), False),
        (("condensing-pressure", "low"), "head 380 psi dropping", ("head", "dropping"), True),
        (("high-pressure-trips", "present"), "HP 26 bar", ("HP",), True),
        (("high-pressure-trips", "present"), "HP 20 trips at 26 bar", ("HP", "20 trips"), False),
        (("suction-pressure", "low"), "suction low", ("suction", "low"), False),
        (("low-pressure-trips", "present"), "trips on low oil pressure", ("trips", "low", "pressure"), True),
        (("low-pressure-trips", "present"), "oil good, trips on low pressure", ("trips", "low", "pressure"), False),
        (("charge-over", "present"), "suction 4 kg, discharge 18 kg", ("4 kg", "18 kg"), True),
        (("charge-over", "present"), "recovered 3.1 kg, nameplate 2.8 kg", ("recovered", "3.1 kg"), False),
        (("charge-short", "present"), "low on gas", ("low",), False),
        (("pump-down-fails", "present"), "box will not pull down below 20F", ("pull", "down"), True),
        (("pump-down-fails", "present"), "will not pull down to 0 psi", ("pull", "down"), False),
        (("no-pressure-difference", "present"), "gauges equal", ("gauges",), False),
        (("knock-while-running", "present"), "knocks", ("knocks",), False),
    ],
)
def test_what_is_not_borne_out(heard: tuple[str, str], text: str, words: tuple[str, ...], is_belied: bool) -> None:  # noqa: FBT001
    assert belied(heard, spans(text, *words), numbers_in(text), text) is is_belied


@pytest.mark.parametrize(
    ("text", "words", "says_otherwise"),
    [
        ("leak sniffer 0 in cabinet", ("leak",), True),
        ("leak detector 0 ppm at all joints", ("leak detector",), True),
        ("detector de fugas 0 ppm", ("fugas",), True),
        ("leak sniffer 450 ppm in cabinet", ("leak",), False),
        ("leak detector over 0 ppm", ("leak",), False),
        ("leak detector 0 ppm, leak at flare nut", ("leak",), False),
        ("sniffer 0, low on gas", ("low", "gas"), False),
        ("leak at flare nut", ("leak",), False),
    ],
)
def test_a_detector_that_shows_nothing_tells_of_no_leak(
    text: str, words: tuple[str, ...], *, says_otherwise: bool
) -> None:
    numbers, named = numbers_in(text), spans(text, *words)
    assert of_number("charge-short", "present", named, numbers, text) is says_otherwise
    assert belied(("refrigerant-smell", "present"), named, numbers, text) is says_otherwise
    assert not of_number("charge-short", "absent", named, numbers, text)
