"""Published descriptions encoded from the words of their source alone (worded.toml), in the form of the case set.

Beside the usual keys a case holds `words`: what the stored text of the source says, shortened to what a finding can
tell, and `left_out`: what no finding tells, or what is itself the answer.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from witnessmark.diagnosis.review.case_set import Described, described_case

FILE = Path(__file__).with_name("worded.toml")


@cache
def tables() -> tuple[dict[str, Any], ...]:
    """The rows of the file."""
    return tuple(tomllib.loads(FILE.read_text("utf-8"))["case"])


@cache
def cases() -> tuple[Described, ...]:
    """As the case set reads them."""
    return tuple(described_case(table) for table in tables())
