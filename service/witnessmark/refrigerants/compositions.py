"""The text that stands for a mixture wherever a designation stands: `R-32/125/134a (23/25/52)`, per cent by mass.

The form is that of ASHRAE 34, section 4.4.3, for the composition of a blend. The text says all there is to know of the
mixture, so that whatever is kept by designation can be kept by it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

DIGITS = 3  # decimals of a per cent; what is rounded away moves no temperature by more than a millikelvin or so
KEPT = 512
_TEXT = re.compile(r"R-(?P<names>[^ /]+(?:/[^ /]+)+) \((?P<shares>[\d.]+(?:/[\d.]+)+)\)")


def text(components: Mapping[str, float]) -> str:
    """The text of a mixture by mass fractions, in the order given; rounding falls to the largest share.

    Example: `text({"R-32": 0.5, "R-125": 0.5})` is `R-32/125 (50/50)`.
    """
    shares = [round(100.0 * share, DIGITS) for share in components.values()]
    largest = shares.index(max(shares))
    shares[largest] = round(shares[largest] + 100.0 - sum(shares), DIGITS)
    names = "/".join(name.removeprefix("R-") for name in components)
    return f"R-{names} ({'/'.join(f'{share:.{DIGITS}f}'.rstrip('0').rstrip('.') for share in shares)})"


@lru_cache(KEPT)
def parse(designation: str) -> tuple[tuple[str, float], ...] | None:
    """Components and mass fractions of such a text; None of anything else (no text but one that `text` writes)."""
    found = _TEXT.fullmatch(designation)
    if found is None:
        return None
    names = [f"R-{name}" for name in found["names"].split("/")]
    shares = [_number(share) for share in found["shares"].split("/")]
    if len(names) != len(shares) or len(set(names)) < len(names) or min(shares) <= 0.0:
        return None
    components = tuple((name, round(share / 100.0, DIGITS + 2)) for name, share in zip(names, shares, strict=True))
    return components if text(dict(components)) == designation else None


def _number(share: str) -> float:
    try:
        return float(share)
    except ValueError:
        return 0.0
