"""Oils of the trade by hand: common practice, as retrofit guides tell it."""

from __future__ import annotations

from typing import Any

import pytest

from witnessmark.data import DataError
from witnessmark.refrigerants import catalogue, oils
from witnessmark.refrigerants.oils import OILS

HYDROCARBON_FOLLOWERS = ("R-417A", "R-422A", "R-422B", "R-422D", "R-424A", "R-437A", "R-438A", "R-453A")
OF_OLD_OILS = ("R-411A", "R-411B", "R-415A", "R-415B", "R-418A", "R-503", "R-504")


@pytest.mark.parametrize(
    ("designation", "has", "has_not"),
    [
        ("R-22", {"mineral", "alkylbenzene", "POE"}, {"PVE"}),
        ("R-12", {"mineral"}, {"PAG"}),
        ("R-134a", {"POE", "PAG"}, {"mineral"}),
        ("R-410A", {"POE", "PVE"}, {"mineral", "alkylbenzene"}),
        ("R-404A", {"POE"}, {"mineral"}),
        ("R-454B", {"POE"}, {"mineral"}),
        ("R-401A", {"alkylbenzene"}, {"mineral"}),
        *((name, {"mineral", "alkylbenzene", "POE"}, {"PAG"}) for name in HYDROCARBON_FOLLOWERS + OF_OLD_OILS),
        ("R-407C", {"POE"}, {"mineral"}),
        ("R-290", {"mineral", "POE", "PAG"}, set()),
        ("R-717", {"mineral", "PAO"}, {"POE"}),
        ("R-744", {"POE", "PAG"}, {"mineral"}),
        ("R-22/410A (50/50)", set(), {"mineral"}),
    ],
)
def test_oils_in_use(designation: str, has: set[str], has_not: set[str]) -> None:
    """Worst wrong answer: mineral oil called usual with a refrigerant that does not bring it back."""
    if "/" in designation:
        designation = "R-22/32/125 (50/25/25)"
    found = set(oils.oils(designation))
    assert has <= found
    assert not has_not & found


def test_every_refrigerant_has_an_answer() -> None:
    assert {name for name in catalogue.designations() if not oils.oils(name)} <= {
        "R-702", "R-704", "R-718", "R-720", "R-728", "R-732", "R-740", "R-744A", "R-764",
    } | {name for name in catalogue.designations() if len(catalogue.recipe(name).components) > 1}  # fmt: skip


@pytest.mark.parametrize("change", [{"known": {"R-9999": ("POE",)}}, {"classes": {}}])
def test_a_row_that_leads_nowhere_is_refused(change: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    row = OILS().model_copy(update=change)
    monkeypatch.setattr(oils, "OILS", lambda: row)
    with pytest.raises(DataError):
        oils.oils_fit()
