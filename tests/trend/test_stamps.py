"""Times of a log: forms, zones, hours that come twice or never."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import InputError
from witnessmark.trend import fields, stamps

BERLIN, SYDNEY = ZoneInfo("Europe/Berlin"), ZoneInfo("Australia/Sydney")


def clock(texts: list[str], form: stamps.StampForm = "iso") -> stamps.Clock:
    characters = fields.matrix(texts)
    return stamps.read(lambda first, last: characters[:, first:last], len(texts), form)


def test_forms_of_iso() -> None:
    found = clock([
        "2024-02-29T23:59:59+05:30", "2024-02-29 23:59:59Z", "2024-02-29T23:59", "2024-02-29T23:59:59.25-0800",
        "2024-02-29", "2024-02-29T23:59:59+01",
    ])  # fmt: skip
    base = datetime(2024, 2, 29, tzinfo=UTC).timestamp()
    assert found.shown.tolist() == [base + 86_399, base + 86_399, base + 86_340, base + 86_399.25, base, base + 86_399]
    assert np.array_equal(found.offset, [19_800, 0, np.nan, -28_800, np.nan, 3_600], equal_nan=True)


@given(st.datetimes(datetime(1990, 1, 1), datetime(2199, 12, 31)))  # noqa: DTZ001
def test_every_date_of_the_calendar(moment: datetime) -> None:
    text = moment.replace(microsecond=0).isoformat()
    assert clock([text, "2024-01-01T00:00:00"]).shown[0] == moment.replace(microsecond=0, tzinfo=UTC).timestamp()


def test_what_is_no_time() -> None:
    found = clock([
        "2023-02-29T00:00:00", "2024-13-01T00:00:00", "2024-01-01T24:00:00", "1980-01-01T00:00:00", "yesterday", "",
        *["2024-01-01T00:00:00"] * 9,
    ])  # fmt: skip
    assert np.isnan(found.shown).tolist() == [True] * 6 + [False] * 9


def test_other_forms() -> None:
    day = clock(["31/12/2024 1:05:02 PM", "1.2.2025 00:00", "05-03-2025"], "day-first").shown
    month = clock(["12/31/2024 12:05 AM", "2/1/2025", "32/1/2025"], "month-first").shown
    assert day.tolist() == [datetime(2024, 12, 31, 13, 5, 2, tzinfo=UTC).timestamp(),
                            datetime(2025, 2, 1, tzinfo=UTC).timestamp(),
                            datetime(2025, 3, 5, tzinfo=UTC).timestamp()]  # fmt: skip
    assert month[0] == datetime(2024, 12, 31, 0, 5, tzinfo=UTC).timestamp()
    assert np.isnan(month[2])
    assert np.isnan(clock(["1/1/1890", "1/1/2025"], "day-first").shown[0])


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("7/14/26 12:30 AM", "month-first"),
        ("14/07/26 0:30", "day-first"),
        ("2026/07/14 00:30", "iso"),
        ("2026.07.14 00:30:00", "iso"),
        ("20260714T003000", "iso"),
        ("20260714T0030Z", "iso"),
        ("2026-07-14 00:30:00,000", "iso"),
        ("2026-07-14 00:30:00 000", "iso"),
        ("14-Jul-26 00:30:00", "iso"),
        ("14 jul. 2026 00:30", "day-first"),
        ("Jul 14, 2026 12:30 AM", "iso"),
        ("2026-07-14T00:30:00+00:00[Europe/London]", "iso"),
    ],
)
def test_how_loggers_and_spreadsheets_write_times(text: str, form: stamps.StampForm) -> None:
    assert clock([text] * 3, form).shown[0] == datetime(2026, 7, 14, 0, 30, tzinfo=UTC).timestamp()


def test_a_zone_in_brackets_is_read_behind_its_offset_alone() -> None:
    found = clock(["2026-07-14T00:30:00+02:00[Europe/Madrid]"] * 2 + ["2026-07-14T00:30:00[Europe/Madrid]"])
    assert found.offset[0] == 7200.0
    assert np.isnan(found.shown[2])


@pytest.mark.parametrize(
    ("text", "shape", "accepted"),
    [
        ("7/14/2026 0:30", "9/99/9999 9:99", "time_form month-first, by"),
        ("07/06/2026 0:30", "99/99/9999 9:99", "time_form day-first or month-first, by"),
        ("2026-07-14 00:30 CEST", "9999-99-99 99:99 AAAA", "the zone goes into time_zone"),
        ("46217.02", "99999.99", "no serial days"),
        ("1971-01-01T00:00:00", "9999-99-99A99:99:99", "was not set"),
        ("yesterday", "AAAAAAAAA", "or time_form that says"),
    ],
)
def test_of_times_that_cannot_be_read_the_shape_is_told_and_what_reads_them(
    text: str, shape: str, accepted: str
) -> None:
    with pytest.raises(InputError) as fault:
        clock([text] * 6 + ["2026-07-14T00:30:00"] * 3)
    assert f"written like '{shape}'" in fault.value.fault
    assert accepted in fault.value.accepted


def test_nothing_of_a_cell_is_repeated() -> None:
    with pytest.raises(InputError) as fault:
        clock(["\u202eabc"] * 3)
    assert "'???AAA'" in fault.value.fault
    with pytest.raises(InputError) as fault:
        clock([""] * 3)
    assert fault.value.fault == "most times of the log cannot be read"


def test_counts() -> None:
    assert stamps.counted(np.array([1.7e9, 5.0]), "epoch-seconds").shown.tolist()[0] == 1.7e9
    assert np.isnan(stamps.counted(np.array([5.0]), "epoch-seconds").shown[0])
    assert stamps.counted(np.array([1.7e12]), "epoch-milliseconds").shown[0] == 1.7e9


def test_times_that_cannot_be_read_are_asked_for() -> None:
    with pytest.raises(InputError) as fault:
        clock(["31/12/2024"] * 3)
    assert fault.value.field == "time_form"


def test_a_clock_without_a_zone_asks_for_one() -> None:
    with pytest.raises(InputError) as fault:
        stamps.instants(clock(["2024-01-01T00:00:00"]), None)
    assert fault.value.field == "time_zone"
    assert stamps.instants(clock(["2024-01-01T00:00:00Z"]), None).at[0] == 1_704_067_200


def minutes(found: stamps.Instants) -> list[float]:
    return list((np.diff(found.at) / 60).tolist())


def test_the_hour_that_comes_twice_is_told_apart_by_order() -> None:
    texts = [f"2025-10-26T{hour:02}:{minute:02}:00" for hour, minute in
             [(1, 30), (2, 0), (2, 30), (2, 0), (2, 30), (3, 0)]]  # fmt: skip
    found = stamps.instants(clock(texts), BERLIN)
    assert minutes(found) == [30.0] * 5
    assert (found.repeated, found.skipped) == (4, 0)


def test_an_hour_that_was_logged_once_joins_its_neighbour() -> None:
    first = stamps.instants(clock(["2025-10-26T01:50:00", "2025-10-26T02:10:00", "2025-10-26T02:50:00"]), BERLIN)
    assert minutes(first) == [20.0, 40.0]
    second = stamps.instants(clock(["2025-10-26T00:30:00", "2025-10-26T02:50:00", "2025-10-26T03:10:00"]), BERLIN)
    assert minutes(second) == [200.0, 20.0]
    alone = stamps.instants(clock(["2025-10-26T02:30:00"]), BERLIN)
    assert alone.repeated == 1


def test_the_hour_that_is_skipped() -> None:
    found = stamps.instants(clock(["2025-03-30T01:59:00", "2025-03-30T02:30:00", "2025-03-30T03:00:00"]), BERLIN)
    assert found.skipped == 1
    assert found.at[2] - found.at[0] == 60.0


def test_southern_summer() -> None:
    found = stamps.instants(clock(["2025-04-06T02:30:00", "2025-04-06T02:30:00", "2025-10-05T04:00:00"]), SYDNEY)
    assert found.at[2] == datetime(2025, 10, 4, 17, 0, tzinfo=UTC).timestamp()


@given(st.integers(1_700_000_000, 1_800_000_000))
def test_the_clock_of_a_zone_leads_back_to_the_instant(second: int) -> None:
    shown = datetime.fromtimestamp(second, UTC).astimezone(BERLIN)
    found = stamps.instants(clock([shown.replace(tzinfo=None).isoformat(timespec="seconds")]), BERLIN)
    assert found.at[0] in {second, second - 3600}
    assert found.repeated or found.at[0] == second
