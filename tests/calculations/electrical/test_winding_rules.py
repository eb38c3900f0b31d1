"""Limits of winding resistances."""

from __future__ import annotations

import pytest

from witnessmark.calculations.electrical.winding_rules import TABLE, less_leads
from witnessmark.calculations.metrology.uncertainty import Measured


def test_the_file_holds_what_was_reviewed() -> None:
    table = TABLE()
    assert (table.open_leg.share, table.leads.resistance, table.leads.share) == (0.9, 0.5, 0.5)
    assert [s.value for s in table.limits.start_over_run_low.stated] == [3.0, 1.0]


@pytest.mark.parametrize(("least", "left_in"), [(2.0, 0.5), (1.0, 0.5), (0.6, 0.3)])
def test_what_leads_may_have(least: float, left_in: float) -> None:
    readings = (Measured(least), Measured(3.0), Measured(3.0))
    assert TABLE().leads.at_most(readings) == pytest.approx(left_in)


def test_leads_are_taken_off_each_reading() -> None:
    net = less_leads((Measured(1.3, 0.1), Measured(1.4), Measured(1.5)), Measured(0.3))
    assert [r.value for r in net] == pytest.approx([1.0, 1.1, 1.2])
    assert [r.uncertainty for r in net] == [0.1, 0.0, 0.0]
