"""Times and zones that are none are refused wherever they are taken, never answered by chance or by a crash."""

import json
from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient

from witnessmark.api.openapi import examples
from witnessmark.trend import stamps
from witnessmark.trend.reading.written import moment as read_moment

PLAN: dict[str, Any] = next(iter(examples()["plan_cleanup"].values()))["value"]
CASE: dict[str, Any] = next(iter(examples()["work_case"].values()))["value"]
NO_OFFSETS = ["+00:60", "+23:59", "-23:59", "+14:01", "-12:01", "-13:00", "+15:00", "+99:99", "+24:00"]
OFFSETS = ["Z", "+14:00", "-12:00", "+05:45", "-09:30", "+00:00", "-00:00"]
NO_MOMENTS = ["2026-13-01T10:00", "2026-02-30T10:00", "2026-03-01T24:01", "2026-03-01T10:60", "2026-03-01T10:00:60",
              "0000-01-01T00:00", "٢٠٢٦-03-01T10:00"]  # fmt: skip
ENDS = ["0001-01-01T00:00", "9999-12-31T23:59"]


def planned(client: TestClient, **more: str) -> tuple[int, list[str]]:
    answer = client.post("/v1/cleanup/plan", json=PLAN | more)
    return answer.status_code, [error["pointer"] for error in answer.json().get("errors", [])]


@pytest.mark.parametrize("zone", ["localtime", "Factory", "posixrules", "posix/UTC", "right/UTC", "/etc/localtime", ""])
def test_what_is_no_place_is_no_zone(client: TestClient, zone: str) -> None:
    assert planned(client, time_zone=zone) == (422, ["#/time_zone"])


@pytest.mark.parametrize("offset", NO_OFFSETS)
def test_no_clock_on_earth_is_so_far_off(client: TestClient, offset: str) -> None:
    assert planned(client, start=f"2026-03-07T14:00{offset}") == (422, ["#/start"])
    assert as_of(client, f"2026-03-07T14:00{offset}") == (422, ["#/case/as_of"])


@pytest.mark.parametrize("offset", OFFSETS)
def test_every_clock_on_earth_is_taken(client: TestClient, offset: str) -> None:
    assert planned(client, start=f"2026-03-07T14:00{offset}") == (200, [])


@pytest.mark.parametrize("moment", NO_MOMENTS)
def test_what_no_calendar_has_is_refused(client: TestClient, moment: str) -> None:
    assert planned(client, start=moment) == (422, ["#/start"])
    assert as_of(client, moment + "Z") == (422, ["#/case/as_of"])


def as_of(client: TestClient, moment: str, **more: Any) -> tuple[int, list[str]]:
    answer = client.post("/v1/cases", json={"case": {"as_of": moment, **more}})
    return answer.status_code, [error["pointer"] for error in answer.json().get("errors", [])]


@pytest.mark.parametrize("moment", ENDS)
@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "Pacific/Niue", "localtime"])
def test_the_ends_of_the_calendar_crash_nothing(client: TestClient, moment: str, zone: str) -> None:
    notes = [{"at": moment + offset, "text": "a note"} for offset in ("", "Z", "+14:00", "-12:00")]
    status, pointers = as_of(client, moment + "+14:00", notes=notes, site={"time_zone": zone})
    assert (status, bool(pointers)) in {(200, False), (422, True)}


def test_a_log_with_an_offset_of_no_clock_has_no_time_there() -> None:
    for offset in [*NO_OFFSETS, "+0060", "+99"]:
        assert str(read_moment(f"2026-03-07T14:00:00{offset}".encode(), "iso")) == "(nan, nan)"
    for offset in OFFSETS:
        shown, written = read_moment(f"2026-03-07T14:00:00{offset}".encode(), "iso")
        assert abs(written) <= 50_400.0
        assert shown > 0


def test_both_ways_to_read_a_stamp_agree_about_offsets() -> None:
    for offset in [*NO_OFFSETS, *OFFSETS]:
        text = f"2026-03-07T14:00:00{offset}"
        many = stamps._block(np.frombuffer(text.encode(), np.uint8).reshape(-1, 1), "iso")  # noqa: SLF001
        one = read_moment(text.encode(), "iso")
        assert json.dumps([part[0] for part in many]) == json.dumps(one)
