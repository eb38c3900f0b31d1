import json

import pytest

from witnessmark.api.strict_json import decode, fault


@pytest.mark.parametrize("text", ['{"a": [1, 2.5, "µ", null, true]}', "1e308", '"\\u00b5"', '"\\ud83d\\ude00"'])
def test_strict_json_is_read(text: str) -> None:
    assert decode(text.encode()) == json.loads(text)


def test_a_byte_order_mark_before_it_is_left_out() -> None:
    assert decode(b'\xef\xbb\xbf{"a":1}') == {"a": 1}


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b'{"a": 1, "a": 2}', "twice"),
        (b"NaN", "NaN"),
        (b"-Infinity", "Infinity"),
        (b"1e999", "too large"),
        (b'"\\ud800"', "surrogate"),
        (b"\xff", "UTF-8"),
        (b'\xef\xbb\xbf\xef\xbb\xbf{"a":1}', "line 1"),
        ('{"a":1}'.encode("utf-16"), "UTF-8"),
        (b"{", "line 1"),
        (b"1" * 5000, "digits"),
        (b"", "line 1"),
    ],
)
def test_anything_else_is_refused_with_a_reason_that_repeats_nothing(body: bytes, said: str) -> None:
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - its kinds are many, the text is what counts
        decode(body)
    assert said in fault(caught.value)


def test_deep_nesting_is_a_recursion_error() -> None:
    with pytest.raises(RecursionError):
        decode(b"[" * 200_000)
