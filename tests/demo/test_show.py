from typing import Any

from witnessmark.demo import show


def test_an_answer_without_evidence_or_checks_still_prints() -> None:
    found: dict[str, Any] = {
        "explanations": [],
        "next_checks": None,
        "operation": {"reason": "Nobody said."},
        "dispatch": {"text": "Send today: one.", "for_technician": []},
    }
    assert list(show.evidence(found)) == []
    assert [line.strip() for line in show.onward(found)] == ["Dispatch: Send today: one.", "• Nobody said."]


def test_numbers_that_are_not_known_are_left_out() -> None:
    compression: dict[str, Any] = {
        "pressure_ratio": {"value": 2.5},
        "suction_superheat": None,
        "verdict": "pumping",
        "reasons": [],
    }
    lines = list(show.numbers(compression, {"verdict": "within"}))
    assert any("Compression ratio" in line for line in lines)
    assert not any("Suction superheat" in line for line in lines)
