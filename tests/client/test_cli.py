"""The command line of the client: parts, a run that broke off, what it says, how it ends."""

import csv
import gzip
import io
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx2
import pyarrow as pa
import pytest
from pyarrow import parquet

from witnessmark_client import TransportError, UnavailableError, WitnessmarkError, _parts, _progress, _senders, cli
from witnessmark_client._files import FileError, parts
from witnessmark_client._protocol import Retries

HEAD = "Suct P,temperature[degF],time\n"
RENAME = ["--rename", "Suct P=pressure[psig]"]
SAME = ["--same", "refrigerant=R-410A", "--keep", "time", "--local"]


@pytest.fixture
def log(tmp_path: Path) -> Path:
    rows = [f'{110 + k % 20},{50 + k % 7},"{k}\n,"' for k in range(40_000)]
    rows[7] = "x,52,seven"
    rows[39_000] = ",52,late"
    path = tmp_path / "readings.csv"
    path.write_text(HEAD + "\n".join(rows), "utf-8")
    return path


def run(*words: str) -> int:
    return cli.main(["bulk", "superheat", *words])


def table(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_text("utf-8"))))


def small_parts(monkeypatch: pytest.MonkeyPatch, size: int = 100_000) -> None:
    monkeypatch.setattr(_parts, "parts", lambda name, form, _size, *more: parts(name, form, size, *more))


def test_a_log_is_checked(log: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    small_parts(monkeypatch)
    out = log.with_name("checked.csv")
    assert run(str(log), "--out", str(out), *RENAME, *SAME) == cli.ROWS_FAILED
    rows = table(out)
    assert [int(row["row"]) for row in rows] == list(range(40_000))
    assert rows[5]["time"] == "5\n,"
    assert {k for k, row in enumerate(rows) if row["error_code"]} == {7, 39_000}
    told = capsys.readouterr().err
    assert "40,000 rows, 2 of them with an error" in told
    assert "row 7: invalid-input: pressure.value" in told
    assert "cautions: licensed" in told
    assert not out.with_name("checked.csv.parts").exists()
    whole = log.with_name("whole.csv")
    monkeypatch.undo()
    run(str(log), "--out", str(whole), *RENAME, *SAME)
    assert whole.read_bytes() == out.read_bytes()


def test_a_run_that_broke_off_goes_on(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    small_parts(monkeypatch)
    out, sent = log.with_name("checked.csv"), list[int]()
    real = _senders.Local.send

    def send(self: Any, calculation: str, query: Any, media: Any, body: bytes) -> Any:
        if len(sent) == 3:
            sent.append(-1)
            raise KeyboardInterrupt
        sent.append(int(query["first_row"]))
        return real(self, calculation, query, media, body)

    monkeypatch.setattr(_senders.Local, "send", send)
    assert run(str(log), "--out", str(out), *RENAME, *SAME) == cli.INTERRUPTED
    assert not out.exists()
    assert run(str(log), "--out", str(out), *RENAME, *SAME) == cli.ROWS_FAILED
    assert sent == [*sorted(set(sent) - {-1})[:3], -1, *sorted(set(sent))[4:]]
    assert len(table(out)) == 40_000
    monkeypatch.undo()
    whole = log.with_name("whole.csv")
    run(str(log), "--out", str(whole), *RENAME, *SAME)
    assert whole.read_bytes() == out.read_bytes()


def test_another_command_begins_anew(log: Path) -> None:
    folder = log.with_name("checked.csv.parts")
    folder.mkdir()
    (folder / "state.json").write_text("{", "utf-8")
    (folder / "000000").write_text("left over", "utf-8")
    assert run(str(log), "--out", str(log.with_name("checked.csv")), *RENAME, *SAME, "--report-in", "IP") == 1
    assert "left over" not in log.with_name("checked.csv").read_text("utf-8")


def test_through_pipes(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Pipe:
        def __init__(self, content: bytes = b"") -> None:
            self.buffer = io.BytesIO(content)

    small_parts(monkeypatch)
    out = Pipe()
    monkeypatch.setattr(sys, "stdin", Pipe(log.read_bytes()))
    monkeypatch.setattr(sys, "stdout", out)
    assert run("-", "--out", "-", *RENAME, *SAME, "--quiet") == cli.ROWS_FAILED
    rows = list(csv.DictReader(io.StringIO(out.buffer.getvalue().decode())))
    assert [int(row["row"]) for row in rows] == list(range(40_000))


def test_lines_of_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = [{"temperature": {"value": 5, "unit": "degC"}}, {"temperature": 5}]
    (tmp_path / "log.ndjson").write_text("\n".join(map(json.dumps, lines)), "utf-8")
    files = str(tmp_path / "log.ndjson"), "--out", str(tmp_path / "out.jsonl")
    assert cli.main(["bulk", "saturation", *files, "--same", "refrigerant=R-32", "--local"]) == cli.ROWS_FAILED
    notes, *rows = [json.loads(line) for line in (tmp_path / "out.jsonl").read_text("utf-8").splitlines()]
    assert notes["notes"]["failed"] == 1
    assert [row["error_code"] for row in rows] == [None, "invalid-input"]
    assert "row 1: invalid-input" in capsys.readouterr().err


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_blank_lines_keep_the_numbers_of_rows_over_all_parts(
    end: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    small_parts(monkeypatch, 200)
    lines = ["" if k % 7 == 3 else "x" if k == 180 else f"{k % 40}" for k in range(200)]
    (tmp_path / "log.csv").write_bytes(end.join(["temperature[degC]", *lines, ""]).encode())
    files = str(tmp_path / "log.csv"), "--out", str(tmp_path / "out.csv")
    assert cli.main(["bulk", "saturation", *files, "--same", "refrigerant=R-32", "--local"]) == cli.ROWS_FAILED
    rows = table(tmp_path / "out.csv")
    assert [int(row["row"]) for row in rows] == [k for k, line in enumerate(lines) if line]
    assert "row 180: invalid-input" in capsys.readouterr().err


def test_parquet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from witnessmark_client import _files  # noqa: PLC0415

    monkeypatch.setattr(_files, "BATCH_ROWS", 30)
    columns = {"p": [8.0 + k / 50 for k in range(100)], "temperature[degC]": [12.0] * 99 + [None]}
    parquet.write_table(pa.table(columns), tmp_path / "log.parquet")
    words = [
        str(tmp_path / "log.parquet"),
        "--out",
        str(tmp_path / "out.parquet"),
        "--same",
        "refrigerant=R-32",
        "--local",
    ]
    assert run(*words, "--rename", "p=pressure[barg]") == cli.ROWS_FAILED
    found = parquet.read_table(tmp_path / "out.parquet")
    assert found["row"].to_pylist() == list(range(100))
    assert [k for k, code in enumerate(found["error_code"].to_pylist()) if code] == [99]


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["nothing.csv", "--out", "o.csv"], "nothing.csv"), (["a.xls", "--out", "o.csv"], "endings"),
        (["nothing.parquet", "--out", "o.csv"], "nothing.parquet"),
        (["LOG", "--out", "o.csv", "--same", "x"], "equals sign"),
        (["LOG", "--out", "o.csv", "--rename", "a=b"], "no column"),
        (["LOG", "--out", "o.csv"], "column(s) cannot be used"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_told(
    words: list[str], part: str, log: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(log.parent)
    assert run(*[str(log) if word == "LOG" else word for word in words], "--local") == cli.REFUSED
    assert part in capsys.readouterr().err


def test_an_unknown_calculation(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["bulk", "superhet", str(log), "--out", str(log.with_name("o.csv")), "--local"]) == cli.REFUSED
    assert "superheat" in capsys.readouterr().err


def test_columns_are_shown(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["columns", "superheat", "--local"]) == cli.DONE
    told = capsys.readouterr().out
    assert "pressure[psig | " in told
    assert "(required)" in told
    assert "margin[K]" in told


def test_without_the_service_there_is_no_local(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def missing(name: str) -> Any:
        raise ModuleNotFoundError(name=name)

    monkeypatch.setattr(_senders, "import_module", missing)
    assert cli.main(["columns", "superheat", "--local"]) == cli.REFUSED
    assert "--local needs" in capsys.readouterr().err


def served(answers: list[Callable[[httpx2.Request], httpx2.Response]]) -> _senders.Service:
    turn = iter(answers)

    def answer(request: httpx2.Request) -> httpx2.Response:
        return next(turn)(request)

    transport = httpx2.MockTransport(answer)
    return _senders.Service("http://x", transport, Retries(first_wait=0.0, longest_wait=0.0, attempts=2, refusals=3))


def busy(_request: httpx2.Request) -> httpx2.Response:
    problem = {"type": "/problems/unavailable", "title": "t", "status": 503}
    return httpx2.Response(503, content=json.dumps(problem), headers={"content-type": "application/problem+json"})


def lost(_request: httpx2.Request) -> httpx2.Response:
    raise httpx2.ConnectError("no route")


def good(request: httpx2.Request) -> httpx2.Response:
    assert request.url.params["first_row"] == "3"
    notes = json.dumps({"rows": 1, "failed": 0, "errors": {}, "cautions": ["licensed"]})
    return httpx2.Response(
        200, content=b"row\n3\n", headers={"content-type": "text/csv; charset=utf-8", "rows-notes": notes}
    )


def test_a_busy_service_is_asked_again() -> None:
    media = ("text/csv", "text/csv")
    answer = served([busy, lost, busy, good]).send("superheat", {"first_row": "3"}, media, b"")
    assert (answer.rows, answer.notes["cautions"]) == (1, ["licensed"])
    with pytest.raises(UnavailableError):
        served([busy] * 9).send("superheat", {}, media, b"")
    with pytest.raises(TransportError):
        served([lost] * 9).send("superheat", {}, media, b"")
    with pytest.raises(WitnessmarkError, match="status 502"):
        served([lambda _: httpx2.Response(502)] * 9).send("superheat", {}, media, b"")
    with pytest.raises(WitnessmarkError, match="no rows"):
        served([lambda _: httpx2.Response(200, json={})]).send("superheat", {}, media, b"")


def test_a_service_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cli, "Service", lambda _url: served([lost] * 9))
    assert cli.main(["columns", "superheat"]) == cli.UNREACHED
    monkeypatch.setattr(
        cli,
        "Service",
        lambda _url: served(
            [lambda _: httpx2.Response(200, json={"result": {"takes": [], "gives": [], "most_rows": 1}})]
        ),
    )
    assert cli.main(["columns", "superheat"]) == cli.DONE


@pytest.mark.parametrize("installed", [True, False])
def test_progress_for_who_looks_on(installed: bool, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: FBT001
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    seen = Terminal()
    monkeypatch.setattr(sys, "stderr", seen)
    if not installed:
        monkeypatch.setitem(sys.modules, "rich", None)
    with _progress.progress(100, quiet=False) as tell:
        tell(50, 1234)
    assert "1,234 rows" in seen.getvalue()


def test_a_first_line_that_is_no_text(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_bytes(b"\xff\n")
    with pytest.raises(FileError, match="UTF-8"):
        list(parts(str(tmp_path / "a.csv"), "csv", 10, 0, {}))


def test_a_header_alone_is_answered_with_one(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("temperature[degC]\n", "utf-8")
    words = [str(tmp_path / "a.csv"), "--out", str(tmp_path / "o.csv"), "--same", "refrigerant=R-32", "--local"]
    assert cli.main(["bulk", "saturation", *words]) == cli.DONE
    assert (tmp_path / "o.csv").read_text("utf-8").startswith("row,refrigerant,")


@pytest.fixture
def readings(tmp_path: Path) -> Path:
    path = tmp_path / "in.csv"
    path.write_text("refrigerant,pressure[psig],temperature[degF]\nR-410A,118,52\n", "utf-8")
    return path


def _same(path: Path) -> str:
    return str(path)


def _other_spelling(path: Path) -> str:
    return str(path.parent / "." / ".." / path.parent.name / path.name)


def _symbolic(path: Path) -> str:
    link = path.with_name("out.csv")
    link.symlink_to(path)
    return str(link)


def _hard(path: Path) -> str:
    link = path.with_name("out.csv")
    link.hardlink_to(path)
    return str(link)


@pytest.mark.parametrize("name", [_same, _other_spelling, _symbolic, _hard])
@pytest.mark.parametrize("place", [["--local"], ["--url", "http://127.0.0.1:9"]])
def test_what_is_read_is_never_written_over(
    readings: Path, name: Callable[[Path], str], place: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    before = readings.read_bytes()
    assert run(str(readings), "--out", name(readings), *place) == cli.REFUSED
    assert readings.read_bytes() == before
    assert "would be written over" in capsys.readouterr().err


def test_nor_by_the_list_of_hours_or_the_folder_of_parts(readings: Path) -> None:
    listed = readings.rename(readings.with_name("out.csv.hours.csv"))
    assert run(str(listed), "--out", str(readings), "--hours", "time", "--local") == cli.REFUSED
    folder = readings.with_name("out.csv.parts")
    folder.mkdir()
    inside = listed.rename(folder / "in.csv")
    assert run(str(inside), "--out", str(readings.with_name("out.csv")), "--local") == cli.REFUSED
    assert inside.exists()


@pytest.mark.parametrize("written", ["out.csv", "out.csv.hours.csv"])
def test_an_answer_that_is_there_is_replaced_only_when_that_is_said(
    readings: Path, written: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [str(readings), "--out", str(readings.with_name("out.csv")), "--keep", "time", "--hours", "time", "--local"]
    readings.write_text("time,refrigerant,pressure[psig],temperature[degF]\n2026-01-05T07:00,R-410A,118,52\n", "utf-8")
    kept = readings.with_name(written)
    kept.write_text("yesterday's", "utf-8")
    assert run(*words) == cli.REFUSED
    assert "--overwrite" in capsys.readouterr().err
    assert kept.read_text("utf-8") == "yesterday's"
    assert not readings.with_name("out.csv.parts").exists()
    assert run(*words, "--overwrite") == cli.DONE
    assert kept.read_text("utf-8") != "yesterday's"


def test_a_run_that_broke_off_while_it_wrote_goes_on(readings: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def half(_files: object, _form: str, out: str) -> None:
        Path(out).write_text("half", "utf-8")
        raise KeyboardInterrupt

    out = readings.with_name("out.csv")
    words = [str(readings), "--out", str(out), "--local"]
    monkeypatch.setattr(_parts, "joined", half)
    assert run(*words) == cli.INTERRUPTED
    monkeypatch.undo()
    assert run(*words, "--keep", "row") == cli.REFUSED  # another command than the one that broke off
    assert out.read_text("utf-8") == "half"
    assert run(*words) == cli.DONE
    assert len(table(out)) == 1


def test_a_place_that_cannot_be_written_to_is_told(readings: Path, capsys: pytest.CaptureFixture[str]) -> None:
    taken = readings.with_name("out.csv")
    taken.mkdir()
    assert run(str(readings), "--out", str(taken), "--local") == cli.REFUSED
    assert run(str(readings), "--out", f"{readings}/deeper/out.csv", "--local") == cli.REFUSED
    assert "Not a directory" in capsys.readouterr().err


def test_a_folder_of_others_is_not_emptied(readings: Path) -> None:
    folder = readings.with_name("out.csv.parts")
    folder.mkdir()
    kept = folder / "letter.txt"
    kept.write_text("keep me", "utf-8")
    assert run(str(readings), "--out", str(readings.with_name("out.csv")), "--local") == cli.REFUSED
    assert kept.read_text("utf-8") == "keep me"


def test_a_log_is_not_written_over_by_its_page(readings: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = readings.read_bytes()
    words = ["trend", str(readings), "--refrigerant", "R-410A", "--column", "x=running", "--out", str(readings)]
    assert cli.main(words) == 3
    assert readings.read_bytes() == before
    assert "would be written over" in capsys.readouterr().err


@pytest.mark.parametrize("ending", [".csv.gz", ".ndjson.gz"])
def test_a_packed_file_is_read(ending: str, tmp_path: Path) -> None:
    rows = {".csv.gz": f"{HEAD}110,50,a\nx,50,b\n", ".ndjson.gz": '{"Suct P": 1}\n'}
    file, out = tmp_path / f"log{ending}", tmp_path / "out.csv"
    file.write_bytes(gzip.compress(rows[ending].encode()))
    renamed = RENAME if ending == ".csv.gz" else []
    assert run(str(file), "--out", str(out), *renamed, *SAME) == cli.ROWS_FAILED
    assert len(table(out)) == rows[ending].count("\n") - (ending == ".csv.gz")


@pytest.mark.parametrize(
    "content",
    [b"no gzip", gzip.compress(b"a,b\n" * 9, mtime=0)[:-9], gzip.compress(b"a", mtime=0)[:10] + b"\xff" * 9],
    ids=["no gzip", "cut short", "no rows"],
)
def test_a_packed_file_that_is_none_is_refused(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "log.csv.gz").write_bytes(content)
    assert run(str(tmp_path / "log.csv.gz"), "--out", str(tmp_path / "out.csv"), "--local") == cli.REFUSED
    assert "log.csv.gz: " in capsys.readouterr().err


@pytest.mark.parametrize("name", ["out.csv.gz", "out.parquet.gz"])
def test_an_answer_is_not_packed(name: str, log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(str(log), "--out", str(log.with_name(name)), *RENAME, *SAME) == cli.REFUSED
    assert "its form is not known" in capsys.readouterr().err


def test_a_reader_that_goes_ends_the_command_quietly() -> None:
    command = (
        f"{sys.executable} -m witnessmark_client.cli columns superheat --local | head -n 1; exit ${{PIPESTATUS[0]}}"
    )
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)  # noqa: S603, S607
    assert (done.returncode in {cli.DONE, cli.INTERRUPTED}, done.stderr) == (True, "")


def test_a_pipe_that_breaks_is_told_by_the_code(monkeypatch: pytest.MonkeyPatch) -> None:
    class Closed(io.StringIO):
        def write(self, _text: str) -> int:
            raise BrokenPipeError

    monkeypatch.setattr(sys, "stdout", Closed())
    assert cli.main(["columns", "superheat", "--local"]) == cli.INTERRUPTED
