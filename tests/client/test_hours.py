"""From answers to suspect hours: each form of file, with and without the columnar library."""

import csv
import sys
from pathlib import Path

import pytest

from witnessmark_client import cli
from witnessmark_client._files import FileError
from witnessmark_client._hours import Looked, hour_of, suspect_hours, told

HEAD = "time,machine,pressure[psig],temperature[degF]"


def log(folder: Path) -> Path:
    """Two machines over the night in which an hour comes twice: machine B floods in the second of them."""
    rows = [HEAD]
    for offset in ("+02:00", "+01:00"):
        for minute in range(60):
            stamp = f"2026-10-25T02:{minute:02}:00{offset}"
            rows.append(f"{stamp},A,118,60")
            rows.append(f"{stamp},B,118,{30 if offset == '+01:00' and minute < 20 else 60}")
    rows += [f"2026-10-25T03:{minute:02}:00+01:00,A,{'' if minute < 5 else 118},60" for minute in range(60)]
    file = folder / "log.csv"
    file.write_text("\n".join(rows) + "\n", "utf-8")
    return file


def words(folder: Path, ending: str, *more: str) -> list[str]:
    given = ["--same", "refrigerant=R-410A", "--same", "compressor=scroll", "--keep", "time,machine", "--hours", "time"]
    return ["bulk", "superheat", str(log(folder)), "--out", str(folder / f"out{ending}"), "--local", *given, *more]


@pytest.mark.parametrize("ending", [".csv", ".parquet", ".ndjson"])
def test_the_hour_that_comes_twice_is_two(ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(words(tmp_path, ending)) == cli.ROWS_FAILED
    with (tmp_path / f"out{ending}.hours.csv").open(encoding="utf-8") as file:
        found = list(csv.DictReader(file))
    assert [(row["hour"], row["machine"], row["rows"], row["suspect"]) for row in found] == [
        ("2026-10-25T02+01:00", "B", "60", "20")
    ]
    assert "below" in found[0]["what"] or "cannot both be right" in found[0]["what"]
    assert "1 suspect hours" in capsys.readouterr().err


def test_a_smaller_share_tells_of_errors_too(tmp_path: Path) -> None:
    cli.main(words(tmp_path, ".csv", "--share", "0.05", "--quiet"))
    found = (tmp_path / "out.csv.hours.csv").read_text("utf-8").splitlines()
    assert found[-1] == "2026-10-25T03+01:00,A,60,5,invalid-input 5"


def test_without_the_columnar_library_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cli.main(words(tmp_path, ".csv", "--quiet"))
    looked = Looked("time", ("machine",), share=0.05)
    fast = suspect_hours(str(tmp_path / "out.csv"), "csv", looked)
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    assert suspect_hours(str(tmp_path / "out.csv"), "csv", looked) == fast
    assert len(fast) == 2


def test_what_cannot_be_looked_at(tmp_path: Path) -> None:
    assert (
        cli.main([*words(tmp_path, ".csv")[:3], "--out", "-", "--local", "--quiet", "--hours", "time"]) == cli.REFUSED
    )
    cli.main(words(tmp_path, ".csv", "--quiet"))
    with pytest.raises(FileError, match="no column 'moment'"):
        suspect_hours(str(tmp_path / "out.csv"), "csv", Looked("moment"))


def test_stamps() -> None:
    assert hour_of("2026-10-25 02:41:07.250Z") == "2026-10-25T02Z"
    assert hour_of("yesterday") == ""
    assert told([], "x.csv") == "0 suspect hours: x.csv\n"


@pytest.mark.parametrize("stamp", ["07/01/2026 10:00", "1751364000", "abc", ""])
@pytest.mark.parametrize("ending", [".csv", ".ndjson"])
def test_stamps_that_cannot_be_read_are_refused(
    stamp: str, ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given = words(tmp_path, ending, "--quiet")
    (tmp_path / "log.csv").write_text(f"{HEAD}\n" + f"{stamp},A,118,30\n" * 3, "utf-8")
    assert cli.main(given) == cli.REFUSED
    assert "3 of 3 rows have no ISO stamp such as 2026-07-01T10:00 in 'time'" in capsys.readouterr().err
    assert not (tmp_path / f"out{ending}.hours.csv").exists()


@pytest.mark.parametrize("stamp", ["20260701T1000", "20260701T100000Z", "2026/07/01 10:00", "2026-07-01 10:00:00,5"])
def test_stamps_in_basic_form_and_with_strokes_are_read(stamp: str, tmp_path: Path) -> None:
    given = words(tmp_path, ".csv", "--quiet")
    lines = [HEAD, *[f"{stamp if ',' not in stamp else repr(stamp)},A,118,30"] * 3, ",A,118,30"]
    (tmp_path / "log.csv").write_text("\n".join(lines).replace("'", '"') + "\n", "utf-8")
    assert cli.main(given) == cli.DONE
    found = (tmp_path / "out.csv.hours.csv").read_text("utf-8").splitlines()[1:]
    assert len(found) == 1
    assert found[0].startswith("2026-07-01T10")
    assert ",A,3,3," in found[0]
