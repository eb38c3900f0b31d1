"""Every seed goes through its target: what once broke a promise is tried in every run, with no fuzzer installed."""

from __future__ import annotations

import argparse
import subprocess
import tomllib
from pathlib import Path

import pytest
import structlog

from tests.mutation.fuzz import __main__ as fuzz
from tests.mutation.fuzz import targets
from tests.mutation.fuzz.seeds import lay_out, seeds
from tests.mutation.fuzz.targets import TARGETS, spoken


@pytest.mark.parametrize("target", TARGETS)
def test_every_seed_keeps_the_promises(target: str) -> None:
    with structlog.testing.capture_logs():
        for seed in [b"", *seeds(target)]:
            TARGETS[target](seed)


def test_every_target_can_be_asked_for() -> None:
    assert set(fuzz.NAMES) == set(TARGETS)


def test_a_broken_promise_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    sound = b"\x15" + b'{"value":1.5,"unit":"psig"}'
    kind = next(k for k in targets.KINDS if k.__name__ == "Pressure")
    monkeypatch.setattr(targets, "KINDS", [kind])
    targets.quantities(sound)
    scale = kind.table.units["psig"]
    monkeypatch.setitem(kind.table.units, "psig", scale.model_copy(update={"factor": float("inf")}))
    with pytest.raises(AssertionError):
        targets.quantities(sound)


def test_a_text_that_json_reads_otherwise_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(targets, "decode", lambda data: [data])
    with pytest.raises(AssertionError):
        targets.bodies(b"[1]")


@pytest.mark.parametrize(
    ("sent", "start"),
    [
        (b"GET /livez HTTP/1.1\r\nHost: x\r\n\r\n", b"HTTP/1.1 200 "),
        (b"GET /livez HTTP/1.1\r\n\r\n", b"HTTP/1.1 400 "),
        (b"GET / HTTP/1.1\r\nHost: x\r\nA: " + b"b" * 40_000, b"HTTP/1.1 431 "),
        (b"CONNECT x HTTP/1.1\r\nHost: x\r\n\r\n", b"HTTP/1.1 405 "),
        (b"GET / HTTP", b""),
    ],
)  # fmt: skip
def test_the_wire_speaks_as_the_service_does(sent: bytes, start: bytes) -> None:
    with structlog.testing.capture_logs():
        answered = spoken(sent)
    assert answered.startswith(start)
    assert bool(answered) == bool(start)


def test_a_header_that_is_read_wrongly_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(targets, "given_key", lambda _headers: b"of somebody else")
    for data in (b"Bearer a", b"GET /livez HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer a\r\n\r\n"):
        with structlog.testing.capture_logs(), pytest.raises(AssertionError):
            targets.headers(data)


def test_the_corpus_begins_with_the_seeds(tmp_path: Path) -> None:
    lay_out("bodies", tmp_path / "bodies")
    laid = [file.read_bytes() for file in sorted((tmp_path / "bodies").iterdir())]
    assert laid == seeds("bodies") != []


def fuzzer(code: int, said: str) -> object:
    def ran(command: list[str], **_more: object) -> subprocess.CompletedProcess[str]:
        assert command[2:5] == ["tests.mutation.fuzz.child", "bodies", "-max_total_time=3"]
        return subprocess.CompletedProcess(command, code, "", said)

    return ran


@pytest.mark.parametrize(("code", "faults"), [(0, 0), (72, 0), (-15, 0), (77, 1), (70, 1), (-9, 1), (-11, 1)])
def test_a_run_is_recorded_as_it_was(
    code: int, faults: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said = "#5 cov: 12 ft: 3\n#9 cov: 31 ft: 9\nstat::number_of_executed_units: 4321\n"
    monkeypatch.setattr(subprocess, "run", fuzzer(code, said))
    asked = argparse.Namespace(seconds=3, runs=-1, seed=5, corpus=tmp_path)
    done = fuzz.run("bodies", asked)
    assert (done.executions, done.branches, done.faults, done.seed) == (4321, 31, faults, 5)
    assert ("4321" in capsys.readouterr().err) == bool(faults)
    fuzz.record(done, tmp_path / "record.toml")
    fuzz.record(done, tmp_path / "record.toml")
    rows = tomllib.loads((tmp_path / "record.toml").read_text("utf-8"))["run"]
    assert [row["executions"] for row in rows] == [4321, 4321]


def test_a_run_without_an_end_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        fuzz.main(["--seconds", "0"])
    assert "without an end" in capsys.readouterr().err


def test_the_record_can_be_read() -> None:
    rows = tomllib.loads(fuzz.RECORD.read_text("utf-8"))["run"]
    assert {row["target"] for row in rows} == set(TARGETS)
