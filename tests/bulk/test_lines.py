"""Blocks end where rows end."""

import io

import pytest

from witnessmark.bulk.lines import LONGEST_LINE, LineTooLongError, blocks


@pytest.mark.parametrize("size", [1, 3, 7, 50, 1000])
def test_blocks_are_whole_lines_and_nothing_is_lost(size: int) -> None:
    text = b"a,b\n1,2\n\n33,44\nlast"
    parts = list(blocks(io.BytesIO(text), size=size))
    assert b"".join(parts) == text
    assert all(part.endswith(b"\n") for part in parts[:-1])


@pytest.mark.parametrize("size", [1, 5, 9, 200])
def test_a_line_end_between_quotes_ends_no_row(size: int) -> None:
    text = b'1,"a\n""b\n"\n2,"c"\n3,"d\n\ne"\n'
    parts = list(blocks(io.BytesIO(text), quoted=True, size=size))
    assert b"".join(parts) == text
    assert all(part.count(b'"') % 2 == 0 and part.endswith(b"\n") for part in parts)


def test_a_line_without_end() -> None:
    with pytest.raises(LineTooLongError):
        list(blocks(io.BytesIO(b"x" * (LONGEST_LINE + 100)), size=40))
