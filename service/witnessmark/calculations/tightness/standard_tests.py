"""Strength and tightness pressures that standards ask for, times the allowable pressure (standard_tests.toml).

Gauge pressures in Pa. The factors are memory: none of the standards was opened, and the answer says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.reference import SourceId, source
from witnessmark.vocabulary import Country

StandardTestKind = TypeAliasType("StandardTestKind", Literal["strength", "tightness"])
"""Whether the parts hold, or whether the joints are tight."""
DUST = 1e-9  # relative: 1.1 times 40 bar is 44 bar, whatever the last bit says
TestReached = TypeAliasType("TestReached", Literal["reached", "not reached", "cannot tell"])
"""Whether the test stood at the pressure that the standard asks for."""


class StandardTestRow(data.Row):
    """One test of one standard."""

    standard: str
    country: Country | None = None
    kind: StandardTestKind
    factor: float
    source: SourceId


class StandardTestTable(data.Row):
    """The data file."""

    test: tuple[StandardTestRow, ...]


TABLE = data.table(__package__, "standard_tests.toml", StandardTestTable)


@dataclass(frozen=True, slots=True)
class StandardTest:
    """What a standard asks for: gauge pressure, Pa, and whether it was reached; trust: how far the figure is known."""

    standard: str
    kind: StandardTestKind
    factor: float
    pressure: float
    reached: TestReached
    source: str
    trust: str


def standard_tests(allowable: float, highest: Measured, country: Country | None = None) -> tuple[StandardTest, ...]:
    """The tests that standards ask for at this allowable pressure PS, and whether the highest stage reached them.

    allowable, highest: Pa gauge. country None: those of every country, side by side.
    Example: PS 4.0 MPa asks for 4.4 MPa in the strength test of EN 378-2; 4.2 MPa do not reach it.
    """
    rows = [row for row in TABLE().test if not (row.country and country) or row.country == country]
    return tuple(
        StandardTest(
            row.standard,
            row.kind,
            row.factor,
            row.factor * allowable,
            _reached(highest, row.factor * allowable),
            row.source,
            source(row.source).trust,
        )
        for row in rows
    )


def _reached(highest: Measured, wanted: float) -> TestReached:
    if abs(highest.value - wanted) < COVERAGE * highest.uncertainty:
        return "cannot tell"
    return "reached" if highest.value >= wanted * (1 - DUST) else "not reached"
