"""`witnessmark-client trend`: what is sent, the page, and how it ends."""

import argparse
import base64
import gzip
import io
from pathlib import Path
from typing import Any, Self

import pytest

from witnessmark_client import TransportError
from witnessmark_client._answers import Answer
from witnessmark_client._trend_command import add_trend, page, request_of, summary

HEAD = b'time,suction_pressure[psig],"running",Tx\n'
RESULT: dict[str, Any] = {
    "verdict": "episodes found",
    "episodes": [
        {
            "title": "Liquid <returning>", "text": "Look.", "severity": "severe", "certainty": 0.95, "parts": 2,
            "start": "2026-01-01T10:00:00+01:00", "end": "2026-01-01T12:00:00+01:00", "sensors": ["suction_pressure"],
            "readings": [{"name": "superheat", "value": 0.31, "unit": "K", "uncertainty": 1.2},
                         {"name": "ratio", "value": 3.0, "unit": "1", "uncertainty": None}],
        },
    ],
    "watched": [{"kind": "high-ratio", "looked": False, "lacking": ["discharge_pressure"]},
                {"kind": "short-cycling", "looked": True, "lacking": []}],
    "findings": [{"finding": "suction-superheat", "state": "low", "reliability": 0.9}],
    "quality": {"rows": 9, "kept": 8, "unreadable": 1, "without_time": 0, "repeated_hour": 0, "jumps": 0,
                "overlapping": 0, "gaps": 0, "first": "a", "last": "b"},
    "picture": '<?xml version="1.0"?>\n<svg xmlns="x"><text>hours</text></svg>',
}  # fmt: skip
ANSWER = Answer(RESULT, ("sea level",), ({"id": "c", "text": "careful"},), ({"citation": "book", "trust": "memory"},))


class Service:
    def __init__(self, answer: Answer | Exception) -> None:
        self.answer, self.asked = answer, dict[str, Any]()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def trend_log(self, **fields: Any) -> Answer:
        self.asked = fields
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer


def parsed(*words: str) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    add_trend(parser.add_subparsers())
    return parser.parse_args(["trend", *words])


def test_columns_are_told_or_tell_themselves() -> None:
    arguments = parsed("a.csv", "--refrigerant", "R-22", "--column", "Tx=suction_temperature#2[degF]", "--pump-down")
    request = request_of(arguments, HEAD)
    assert request["columns"] == [
        {"header": "Tx", "quantity": "suction_temperature", "unit": "degF", "compressor": 2},
        {"header": "suction_pressure[psig]", "quantity": "suction_pressure", "unit": "psig"},
        {"header": "running", "quantity": "running"},
    ]
    assert gzip.decompress(base64.b64decode(request["log"]["packed"])) == HEAD
    assert request["machine"] == {"pump_down": True}


def test_files_that_are_packed_already_are_sent_as_they_are() -> None:
    packed = gzip.compress(HEAD)
    request = request_of(parsed("a.csv.gz", "--refrigerant", "R-22", "--compressor", "scroll"), packed)
    assert base64.b64decode(request["log"]["packed"]) == packed
    assert len(request["columns"]) == 2
    assert request["machine"]["compressor"] == "scroll"
    parquet = request_of(parsed("a.parquet", "--refrigerant", "R-22", "--column", "r=running"), b"PAR1")
    assert parquet["log"] == {"packed": base64.b64encode(b"PAR1").decode(), "form": "parquet"}


@pytest.mark.parametrize("told", ["nothing", "=running", "a=colour", "a=running[", "a=running#"])
def test_columns_that_cannot_be_read(told: str) -> None:
    with pytest.raises(ValueError, match="--column"):
        request_of(parsed("a.csv", "--refrigerant", "R-22", "--column", told), b"time,x\n")


def test_no_column_at_all() -> None:
    with pytest.raises(ValueError, match="no column"):
        request_of(parsed("a.csv", "--refrigerant", "R-22"), b"time,x\n")


@pytest.mark.parametrize(("verdict", "code"), [("episodes found", 1), ("nothing found", 0), ("cannot tell", 2)])
def test_the_command_ends_with_the_verdict(tmp_path: Path, verdict: str, code: int) -> None:
    log, out = tmp_path / "log.csv", tmp_path / "page.html"
    log.write_bytes(HEAD)
    service, text = Service(Answer({**RESULT, "verdict": verdict})), io.StringIO()
    arguments = parsed(str(log), "--refrigerant", "R-22", "--out", str(out))
    assert arguments.run(arguments, service, text) == code
    assert verdict in text.getvalue()
    assert verdict in out.read_text("utf-8")
    assert service.asked["refrigerant"] == "R-22"


def test_what_goes_wrong_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = tmp_path / "log.csv"
    log.write_bytes(HEAD)
    arguments = parsed(str(log), "--refrigerant", "R-22")
    assert arguments.run(arguments, Service(TransportError("nobody there")), io.StringIO()) == 3
    missing = parsed(str(tmp_path / "none.csv"), "--refrigerant", "R-22")
    assert missing.run(missing, Service(ANSWER), io.StringIO()) == 3
    assert "nobody there" in capsys.readouterr().err


def test_a_page_that_is_there_is_replaced_only_when_that_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log, out = tmp_path / "log.csv", tmp_path / "page.html"
    log.write_bytes(HEAD)
    out.write_text("last week's", "utf-8")
    words = [str(log), "--refrigerant", "R-22", "--out", str(out)]
    refused, told = parsed(*words), parsed(*words, "--overwrite")
    service = Service(ANSWER)
    assert refused.run(refused, service, io.StringIO()) == 3
    assert (out.read_text("utf-8"), service.asked) == ("last week's", {})
    assert "--overwrite" in capsys.readouterr().err
    assert told.run(told, service, io.StringIO()) == 1
    assert "<h1>" in out.read_text("utf-8")


def test_a_pipe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", argparse.Namespace(buffer=io.BytesIO(HEAD)))
    arguments, service = parsed("-", "--refrigerant", "R-22"), Service(ANSWER)
    assert arguments.run(arguments, service, io.StringIO()) == 1
    assert len(service.asked["columns"]) == 2


def test_the_page_needs_nothing_else_and_escapes() -> None:
    html = page("some/log.csv", ANSWER)
    for part in ("<svg", "Liquid &lt;returning&gt;", "0.31 ± 1.2 K", "high-ratio (lacking: discharge_pressure)",
                 "suction-superheat", "careful", "book (memory)", "sea level"):  # fmt: skip
        assert part in html, part
    assert "<?xml" not in html
    assert "http" not in html
    quiet = page("log", Answer({**RESULT, "episodes": [], "findings": [], "watched": [], "picture": None}))
    assert "<svg" not in quiet
    assert "not looked for" in summary(ANSWER)


@pytest.mark.parametrize("before", [b"sep=,\n", b"Logger 7\nplant room, north\n\n", b"\xef\xbb\xbf"])
def test_columns_tell_themselves_behind_lines_of_words(before: bytes) -> None:
    request = request_of(parsed("a.csv", "--refrigerant", "R-22"), before + HEAD + b"2026-01-01T00:00,118,1,5\n")
    assert [column["quantity"] for column in request["columns"]] == ["suction_pressure", "running"]
