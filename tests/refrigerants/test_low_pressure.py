"""Which refrigerants are those of centrifugal chillers of low pressure."""

from __future__ import annotations

import pytest

from witnessmark.refrigerants.low_pressure import is_low_pressure


@pytest.mark.parametrize(
    ("designation", "low"),
    [
        ("R-11", True),
        ("R-123", True),
        ("R-245fa", True),
        ("R-1233zd(E)", True),
        ("R-114", False),
        ("R-600a", False),
        ("R-134a", False),
        ("R-744", False),
        ("R-508B", False),  # no liquid at 20 degC
        ("R-601", False),
    ],
)
def test_only_those_of_chillers_are(designation: str, low: bool) -> None:  # noqa: FBT001
    assert is_low_pressure(designation) is low
