"""Readings after a repair. Worst would be a machine that failed again and is called good by what was read before."""

from typing import Any

import pytest

from witnessmark.casework.after_repair import overtaken

GOOD, FOUND = {"of": "after-repair", "values": {}}, {"of": "found", "values": {}}


def at(entry: dict[str, Any], hour: int) -> dict[str, Any]:
    return {**entry, "at": f"2026-05-18T{hour:02d}:00"}


@pytest.mark.parametrize(
    ("case", "over"),
    [
        ({}, False),
        ({"readings": [FOUND]}, False),
        ({"readings": [FOUND, GOOD]}, False),
        ({"readings": [GOOD, FOUND]}, True),
        ({"readings": [GOOD, {"values": {}}]}, True),
        ({"readings": [at(GOOD, 9), at(FOUND, 8)]}, False),
        ({"readings": [at(FOUND, 10), at(GOOD, 9)]}, True),
        ({"readings": [at(FOUND, 8), at(GOOD, 9)], "complaint_at": "2026-05-18T07:00"}, False),
        ({"readings": [at(GOOD, 9)], "complaint_at": "2026-05-18T10:00"}, True),
        ({"readings": [at(GOOD, 9)], "notes": [{"text": "dead again", "at": "2026-05-18T10:00"}]}, True),
        ({"readings": [at(GOOD, 9)], "notes": [at({"of": "after-repair"}, 10), {"text": "x"}]}, False),
        ({"readings": [GOOD], "complaint_at": "2026-05-18T10:00"}, False),
        ({"readings": [at(GOOD, 9), {"of": "sound", "values": {}}]}, False),
    ],
)
def test_what_came_later_overtakes_good_readings(case: dict[str, Any], over: object) -> None:
    assert overtaken(case) is over
