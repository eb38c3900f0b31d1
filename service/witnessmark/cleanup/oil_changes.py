"""Oil changes by the dilution series: every change leaves the share that does not drain.

Source: UNEP, Alternatives to HCFCs (2010), 1.6.6: the number follows from the share removed each time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.errors import OutOfRangeError


@dataclass(frozen=True, slots=True)
class Dilution:
    """Share of the old oil left after 0, 1, 2 … changes.

    `changes` is None where more than a plan's worth are needed.
    """

    drained_share: float
    target: float
    changes: int | None
    residual: float
    series: tuple[float, ...]


def changes_needed(residual: float, drained_share: float, target: float) -> int | None:
    """Changes that bring `residual` down to `target` when each drains `drained_share` of all oil; all are shares.

    None where it takes more than the data file's most. OutOfRangeError (drained_share) unless 0 < drained_share <= 1.

    >>> changes_needed(1.0, drained_share=0.5, target=0.05)
    5
    """
    if not 0 < drained_share <= 1:
        raise OutOfRangeError("drained_share", drained_share, 0.0, 1.0)
    if residual <= target:
        return 0
    if drained_share == 1:
        return 1
    count = math.ceil(math.log(target / residual) / math.log1p(-drained_share) - 1e-9)
    return count if count <= SIZING().most_changes else None


def dilution(residual: float, drained_share: float, target: float) -> Dilution:
    """The series from the share of old oil that is in the circuit now (after the new compressor brought its own).

    >>> dilution(0.8, drained_share=0.75, target=0.05).series
    (0.8, 0.2, 0.05)
    """
    changes = changes_needed(residual, drained_share, target)
    last = SIZING().most_changes if changes is None else changes
    series = tuple(residual * (1 - drained_share) ** n for n in range(last + 1))
    return Dilution(drained_share, target, changes, series[-1], series)
