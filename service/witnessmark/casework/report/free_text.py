"""Free text of a caller, made harmless: no control or direction characters, no formula, not endless."""

from __future__ import annotations

import unicodedata

LONGEST = 1_500
"""Characters of one free text that a report shows."""
_FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
_DROPPED = ("Cc", "Cf", "Cs", "Co", "Cn")
"""Unicode categories that are not shown: control, format (direction among them), surrogates, private, unassigned."""


def line(text: object, longest: int = LONGEST) -> str:
    r"""One line of free text: what is shown is what stands there.

    >>> line("a\u202eb\n c"), line("=1+1"), line("-5 degC")
    ('ab c', "'=1+1", '-5 degC')
    """
    spaced = " ".join(str(text)[: 4 * longest].split())
    shown = "".join(sign for sign in spaced if unicodedata.category(sign) not in _DROPPED)
    if shown.startswith(_FORMULA) and not _number(shown):
        shown = "'" + shown
    return shown if len(shown) <= longest else shown[: longest - 1].rstrip() + "…"


def _number(text: str) -> bool:
    """Whether a sign begins a number rather than a formula of a spreadsheet."""
    return text[0] in "+-" and text[1:2].isdigit() and not set(text) & set("=()!|")
