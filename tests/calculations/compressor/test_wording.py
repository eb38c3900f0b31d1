"""Texts of reasons and notes: every one is a sentence."""

import pytest

from witnessmark.calculations.compressor.wording import WORDING, text


@pytest.mark.parametrize("key", sorted(WORDING()))
def test_is_a_sentence(key: str) -> None:
    assert text(key)[0].isupper()
    assert text(key).endswith(".")


def test_unknown_text_is_a_fault_of_the_code() -> None:
    with pytest.raises(KeyError):
        text("no-such-text")
