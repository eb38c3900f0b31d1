"""What is told plainly stands as told. Worst: a fault filed as its denial; then one invented from a word of time."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import read_note

LEARNED = True


def told(text: str) -> dict[str, str]:
    return {match.finding: match.state for match in read_note(text).matches}


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("compressor is grinding", "knock-while-running"),
        ("grinding noise from the compressor", "knock-while-running"),
        ("the compressor overload is open", "protector-open-hot"),
        ("breaker trips after ten minutes", "trips-after-minutes"),
    ],
)
def test_a_fault_in_plain_words_is_not_overruled(text: str, finding: str) -> None:
    assert told(text).get(finding) == "present"


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("compressor not grinding any more", "knock-while-running"),
        ("I would not call it knocking, more a squeal", "knock-while-running"),
        ("it would be wrong to say it is seized", "shaft-seized"),
        ("breaker tripped 10 minutes ago", "trips-after-minutes"),
        ("the fan does not turn, dont go blaming the compressor", "will-not-start"),
    ],
)
def test_a_denial_or_a_time_makes_no_fault(text: str, finding: str) -> None:
    assert told(text).get(finding) in {None, "absent", "unknown"}
