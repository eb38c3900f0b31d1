"""What reasons and notes of the compressor calculations say, by id: reviewed data beside the code."""

from __future__ import annotations

from witnessmark import data
from witnessmark.reference.library import Text

WORDING = data.table(__package__, "wording.toml", dict[str, Text])


def text(key: str) -> str:
    """The text of this id; KeyError if there is none (a fault of the code, not of an input).

    >>> text("consistent")
    'All readings fit one cycle within their uncertainty.'
    """
    return WORDING()[key]
