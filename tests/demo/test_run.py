import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any, NoReturn, Self

import pytest
from rich.console import Console

from witnessmark.api.routes.cases import work_case
from witnessmark.api.schemas.case import CaseRequest
from witnessmark.demo import cases
from witnessmark.demo import run as demo
from witnessmark.demo import server as started
from witnessmark.demo.server import StartError, free_port, server, wait_until_ready
from witnessmark_client import Answer, WitnessmarkError

PARTS = ("What is known", "How it failed", "Why, in the system", "Next step", "Before anybody works", "Try next")


@pytest.fixture(scope="module")
def answers() -> dict[str, Answer]:
    """What the service answers for each case, without its server."""
    found = {}
    for name, case in cases.everything().items():
        request = CaseRequest.model_validate({"case": case, "want": {"everything": True}})
        told = work_case(request).model_dump(mode="json")
        beside = {key: told[key] for key in ("assumptions", "cautions", "model_version")}
        found[name] = Answer(told["result"], **beside)
    return found


def console(width: int, *, colour: bool = False) -> Console:
    return Console(
        file=io.StringIO(), width=width, highlight=False, markup=False, emoji=False, no_color=not colour,
        force_terminal=colour, color_system="standard" if colour else None,
    )  # fmt: skip


@pytest.mark.parametrize("width", [60, 80, 100, 160])
def test_each_case_stays_on_its_screen_and_its_width(width: int, answers: dict[str, Answer]) -> None:
    for name, answer in answers.items():
        page = demo.screen(console(width), name, answer, [f"demo-report/{name}.html", f"demo-report/{name}.pdf"])
        lines = page.splitlines()
        assert len(lines) <= demo.LINES, name
        assert max(map(len, lines)) <= width, name
        assert all(line == line.rstrip() for line in lines)


def test_what_can_hurt_and_the_next_step_are_never_cut(answers: dict[str, Answer]) -> None:
    for name, answer in answers.items():
        page = " ".join(demo.screen(console(60), name, answer, []).split())
        assert answer.result["next_step"]["text"] in page
        for caution in answer.cautions[:3]:
            assert caution["text"] in page


def test_the_first_page_tells_the_job_and_what_to_try_next(answers: dict[str, Answer]) -> None:
    name = cases.names()[0]
    page = demo.screen(console(100), name, answers[name], ["a.html"])
    assert [part for part in PARTS if part not in page] == []
    assert "Does the compressor pump: not pumping." in page
    assert "\n  • a.html\n" in page
    assert "/guide/" in page.splitlines()[-1]


def test_the_whole_page_says_everything(answers: dict[str, Answer]) -> None:
    name = cases.names()[0]
    page = " ".join(demo.whole(console(100), name, answers[name], []).split())
    for caution in answers[name].cautions:
        assert caution["text"] in page
    assert f"knowledge {(answers[name].model_version or {})['knowledge']}" in page
    assert "Gate before the start" in page


def test_a_case_without_a_diagnosis_still_prints() -> None:
    empty: dict[str, Any] = {key: [] for key in ("headline", "questions", "timeline")}
    result = {**empty, "contradictions": [{"text": "Two things."}], "next_step": None, "parts": {}}
    version = {"service": "1", "property_library": "2", "knowledge": "3"}
    answer = Answer(result, cautions=({"text": "Care."},) * 4, model_version=version)
    page = demo.whole(console(80), cases.names()[0], answer, [])
    assert "≠ Two things." in page
    assert "One more stands in the report." in page
    assert "How it failed" not in page


def test_colour_only_where_the_terminal_has_it(answers: dict[str, Answer]) -> None:
    name = cases.names()[0]
    assert "\x1b[" in demo.screen(console(80, colour=True), name, answers[name], [])
    assert "\x1b" not in demo.screen(console(80), name, answers[name], [])


def test_against_a_running_service(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "90")
    with server() as url:
        assert demo.run(demo.Wish(case="start-gear-failed", url=url, as_json=True)) == 0
        (row,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
        assert demo.run(demo.Wish(case="start-gear-failed", url=url, folder=tmp_path / "reports")) == 0
    assert row["case"] == "start-gear-failed"
    assert row["result"]["parts"]["diagnosis"]["state"] == "answered"
    page = capsys.readouterr().out
    assert "start-gear-failed.pdf" in page.replace("\n", "").replace(" ", "")
    assert (tmp_path / "reports" / "start-gear-failed.html").read_text("utf-8").startswith("<!doctype html>")
    assert (tmp_path / "reports" / "start-gear-failed.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "reports" / ".gitignore").read_text("utf-8") == "*\n"


def test_a_service_that_is_not_there_is_one_line_with_its_address(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo, "server", lambda: pytest.fail("must not start"))
    monkeypatch.setattr(demo, "Client", _Nobody)
    assert demo.run(demo.Wish(url="http://127.0.0.1:1", folder=tmp_path)) == 1
    said = capsys.readouterr().err
    assert said == ("witnessmark demo: http://127.0.0.1:1: nobody there; is `witnessmark serve` running there?\n")


class _Nobody:
    def __init__(self, _url: str) -> None:
        pass

    def __enter__(self) -> Self:
        raise WitnessmarkError("nobody\nthere")

    def __exit__(self, *_: object) -> None:
        pass


def test_the_cases_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert demo.run(demo.Wish(list_only=True)) == 0
    page = capsys.readouterr().out
    assert all(f"{name}\n" in page for name in cases.names())
    assert len(cases.names()) == 6


def test_a_case_that_nobody_knows_is_refused_with_those_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert demo.run(demo.Wish(case="no-such")) == 1
    said = capsys.readouterr().err
    assert "'no-such'" in said
    assert "long-floodback" in said


def test_reports_go_elsewhere_where_the_folder_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", "utf-8")
    elsewhere = demo.writable(tmp_path / "file" / "reports")
    assert elsewhere.is_dir()
    assert "witnessmark-" in elsewhere.name
    elsewhere.rmdir()


def test_a_service_that_stops_is_noticed() -> None:
    with subprocess.Popen([sys.executable, "-c", "raise SystemExit(3)"]) as process:
        process.wait()
        with pytest.raises(StartError, match="code 3"):
            wait_until_ready(f"http://127.0.0.1:{free_port()}", process)


def test_a_service_that_never_answers_is_said_so_in_words(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(started, "PATIENCE", 0.0)
    with subprocess.Popen([sys.executable, "-c", "import time; time.sleep(30)"]) as process:
        with pytest.raises(StartError, match="not ready after 0 s: the machine may be busy"):
            wait_until_ready(f"http://127.0.0.1:{free_port()}", process, seconds=0.5)
        process.kill()
    assert capsys.readouterr().err == "the service is still starting; it has up to 0 s\n"


def test_a_service_that_does_not_start_is_one_line(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def late() -> NoReturn:
        raise StartError("the service was not ready")

    monkeypatch.setattr(demo, "server", late)
    assert demo.run(demo.Wish(folder=tmp_path)) == 1
    assert capsys.readouterr().err == "witnessmark demo: the service was not ready\n"
