"""Answers that keep their size. Worst would be an answer that never comes, or one that is cut for nothing."""

from __future__ import annotations

import pytest
from pydantic import BaseModel

from witnessmark.api.shorter import fitting


class Text(BaseModel):
    said: str


FRAME = len('{"said":""}')


@pytest.mark.parametrize(("most", "letters"), [(40, 20), (FRAME + 20, 20), (FRAME + 19, 9), (FRAME + 8, 3), (0, 3)])
def test_the_first_that_fits_is_taken_and_the_last_where_none_does(most: int, letters: int) -> None:
    assert len(fitting(lambda length: Text(said="x" * length), (20, 9, 3), most).said) == letters


def test_letters_of_two_bytes_count_twice() -> None:
    assert fitting(lambda length: Text(said="ñ" * length), (5, 4), FRAME + 9).said == "ññññ"


def test_where_all_is_wanted_nothing_is_weighed() -> None:
    assert fitting(lambda length: Text(said="x" * length), (90,), 1).said == "x" * 90
