"""Verdicts on a decay that no curve of the other tests reaches."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

from witnessmark.calculations.tightness import decay_rules


def test_a_pressure_that_never_fell_below_boiling_water_says_nothing_of_leaks() -> None:
    view = cast("Any", SimpleNamespace(low=3000.0, boiling=(600.0, 2339.0)))
    assert decay_rules._standing(view) == ("cannot tell", "never below the boiling pressure of water")  # noqa: SLF001 - no curve reaches it
