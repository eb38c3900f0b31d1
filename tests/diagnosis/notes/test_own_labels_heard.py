"""The learned reader takes nothing back of what numbers and plain words say, and adds nothing to it."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import match

LEARNED = True


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("240 V to ground on L1, 0 on L2", {"phase-missing": "present"}),
        ("lost a leg", {"phase-missing": "present"}),
        ("dropped from 300 psi to 240 overnight", {"charge-short": "present"}),
        ("valved off at 400, 1800 after 10 minutes", {"vacuum-not-proven": "present"}),
        ("recovered 54 % of nameplate", {"charge-short": "present"}),
        ("CS 3.2 CR 0.9 SR 4.1", {"start-winding-open": "absent"}),
        ("discharge temp 118", {"discharge-temperature-high": "unknown"}),
        ("continuity to ground on S", {"insulation-low": "present"}),
        ("L1-N 120 L2-N 120 L1-L2 240", {"voltage-unbalance": "absent"}),
        ("C-R open, C-S open, R-S 5.2", {"protector-open-hot": "unknown"}),
    ],
)
def test_numbers_and_plain_words_stand(text: str, wanted: dict[str, str]) -> None:
    assert {m.finding: m.state for m in match(text)} == wanted
