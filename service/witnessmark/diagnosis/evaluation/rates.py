"""The five rates by which the trade's own method judges a diagnosis, on any set of cases whose truth is known.

Yuill & Braun 2013, "Evaluating the performance of fault detection and diagnostics protocols applied to air-cooled
unitary air-conditioning equipment", HVAC&R Research 19(7) (the five names were read in an abstract, which case is
which is from memory): every case ends in exactly one of no response, correct, false alarm, missed, misdiagnosis.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from witnessmark.diagnosis.evaluation.estimates import Estimate, share

Rate = Literal["correct", "no response", "false alarm", "missed", "misdiagnosis"]
RATES: tuple[Rate, ...] = ("correct", "no response", "false alarm", "missed", "misdiagnosis")
HEAD = ("with a fault", "correct", "misdiagnosis", "missed", "no response")
SOUND_HEAD = ("sound", "cleared", "false alarm", "no response")


def rate(*, fault: bool, named: bool, right: bool, cleared: bool) -> Rate:
    """Which of the five. named: the answer acts on something; right: on what is truly there; cleared: calls it sound.

    >>> rate(fault=True, named=True, right=False, cleared=False)
    'misdiagnosis'
    """
    if named:
        return ("correct" if right else "misdiagnosis") if fault else "false alarm"
    if not cleared:
        return "no response"
    return "missed" if fault else "correct"


@dataclass(frozen=True, slots=True)
class FiveRates:
    """Counts of the rates, apart for cases with a fault and sound ones."""

    faulty: Counter[Rate]
    sound: Counter[Rate]

    @classmethod
    def of(cls, pairs: Iterable[tuple[bool, Rate]]) -> FiveRates:
        """Of (whether there is a fault, rate) pairs."""
        listed = list(pairs)
        return cls(Counter(r for fault, r in listed if fault), Counter(r for fault, r in listed if not fault))

    def share(self, which: Rate, *, fault: bool) -> Estimate:
        """Share of the cases with a fault, or of the sound ones, with Wilson's interval."""
        counts = self.faulty if fault else self.sound
        return share(counts[which], counts.total())

    def cells(self) -> tuple[str, ...]:
        """For a table with `HEAD` and `SOUND_HEAD`: every share with its interval, each denominator once."""
        faulty = (self._cell(which, fault=True) for which in ("correct", "misdiagnosis", "missed", "no response"))
        sound = (self._cell(which, fault=False) for which in ("correct", "false alarm", "no response"))
        return (f"{self.faulty.total()}", *faulty, f"{self.sound.total()}", *sound)

    def _cell(self, which: Rate, *, fault: bool) -> str:
        found = self.share(which, fault=fault)
        return f"{found.value:.0%} ({found.low:.0%} to {found.high:.0%})" if found.sample else "-"
