"""Free text of a caller, made harmless."""

import pytest

from witnessmark.casework.report.free_text import line


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain", "plain"),
        ("a\u202eb\u2066c\u200d", "abc"),
        ("a\x00\x1b[31mb\n\tc", "a[31mb c"),
        ("=1+1", "'=1+1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
        ("-2+3+cmd|x", "'-2+3+cmd|x"),
        ("-5 degC in the case", "-5 degC in the case"),
        ("\ud800x", "x"),
        ("", ""),
    ],
)
def test_what_is_shown_is_what_stands_there(text: str, shown: str) -> None:
    assert line(text) == shown


def test_it_ends() -> None:
    assert len(line("x" * 10_000, 100)) == 100
    assert line("x" * 10_000, 100).endswith("…")


@pytest.mark.parametrize("sign", ["=", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20"])
@pytest.mark.parametrize("before", ["", " ", "\t", "\ufeff", "\u200b", "\u202e", "\x00"])
def test_no_formula_begins_a_text_whatever_is_put_before_it(sign: str, before: str) -> None:
    assert line(f"{before}{sign}SUM(A1)") == f"'{sign}SUM(A1)"
