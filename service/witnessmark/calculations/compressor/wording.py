"""What reasons and notes of the compressor calculations say, by id: reviewed data beside the code."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files


@cache
def wordings() -> dict[str, str]:
    """All texts by id."""
    return tomllib.loads(files(__package__).joinpath("wording.toml").read_text("utf-8"))


def text(key: str) -> str:
    """The text of this id; KeyError if there is none (a fault of the code, not of an input)."""
    return wordings()[key]
