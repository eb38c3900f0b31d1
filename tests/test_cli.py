"""The command line: what it understands, what its help teaches, what it starts and with which exit code it ends."""

from __future__ import annotations

import argparse
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from witnessmark import __version__, cli, data, serving
from witnessmark.data import DataError
from witnessmark.demo import run as demo
from witnessmark.demo.server import free_port
from witnessmark.diagnosis.catalogue.knowledge import shipped
from witnessmark.settings import Settings

CASES = Path(__file__).parent / "diagnosis" / "cases"


def commands() -> dict[str, argparse.ArgumentParser]:
    """The parser of each command."""
    (found,) = (a for a in cli.parser()._actions if isinstance(a, argparse._SubParsersAction))  # noqa: SLF001
    return dict(found.choices)


DEMO = {"case": None, "full": False, "json": False, "list": False, "report": Path("demo-report"), "url": None}


def refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """What is said about arguments that cannot be used."""
    with pytest.raises(SystemExit) as stopped:
        cli.main(arguments)
    assert stopped.value.code == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "Traceback" not in said.err
    return said.err


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("serve", {}),
        ("serve --host 0.0.0.0 --port 65535 --workers 4", {"host": "0.0.0.0", "port": 65535, "workers": 4}),  # noqa: S104
        ("demo", DEMO),
        (
            "demo --json --case long-floodback --url http://127.0.0.1:8000",
            {**DEMO, "url": "http://127.0.0.1:8000", "json": True, "case": "long-floodback"},
        ),
        ("demo --list --full --report here", {**DEMO, "list": True, "full": True, "report": Path("here")}),
        ("check-knowledge", {"folder": None, "against": None, "cases": None}),
        ("check-knowledge . --against .. --cases .", {"folder": Path(), "against": Path(".."), "cases": Path()}),
    ],
)
def test_what_it_understands(line: str, expected: dict[str, object]) -> None:
    options = vars(cli.parser().parse_args(line.split()))
    assert options == {"command": line.split(maxsplit=1)[0], **expected}


def test_it_listens_on_loopback_unless_told_otherwise() -> None:
    assert Settings().host == "127.0.0.1"
    assert not hasattr(cli.parser().parse_args(["serve"]), "host")  # so that the environment can set it


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], ["required: COMMAND"]),
        (["mend"], ["mend", "serve", "demo", "check-knowledge"]),
        (["serve", "--prot", "1"], ["--prot"]),
        (["serve", "--port", "0"], ["--port", "from 1 to 65535"]),
        (["serve", "--port", "65536"], ["--port", "'65536'", "from 1 to 65535"]),
        (["serve", "--port", "-1"], ["--port"]),
        (["serve", "--port", "8e3"], ["--port", "whole number"]),
        (["serve", "--port", "٨٠٠٠"], ["--port", "whole number"]),
        (["serve", "--port", "9" * 5000], ["--port", "whole number"]),
        (["serve", "--workers", "0"], ["--workers", "from 1 to 256"]),
        (["serve", "--host", ""], ["--host", "empty, which would listen on every address"]),
        (["serve", "--workers", "two"], ["--workers", "whole number"]),
        (["check-knowledge", "no/such"], ["FOLDER", "'no/such'", "no such folder"]),
        (["check-knowledge", "--against", "no/such", "--cases", "."], ["--against", "no such folder"]),
        (["check-knowledge", "--against", "."], ["--against and --cases go together"]),
        (["check-knowledge", "--cases", "."], ["--against and --cases go together"]),
    ],
)
def test_what_it_cannot_use_is_refused_with_the_name_and_what_would_do(
    arguments: list[str], words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    said = refused(arguments, capsys)
    assert [word for word in words if word not in said] == []
    assert len(said) < 1000


def test_help_names_every_command_and_shows_each_in_use() -> None:
    text = cli.parser().format_help()
    assert "Why a compressor died" in text
    for name in commands():
        assert re.search(rf"^    {name}\s+\S", text, re.MULTILINE), f"{name} is listed without a word"
        assert re.search(rf"^  witnessmark {name}", text, re.MULTILINE), f"{name} has no example"


def test_help_of_a_command_explains_every_argument_and_its_default() -> None:
    for name, parser in commands().items():
        for action in parser._actions:  # noqa: SLF001 - argparse has no public list of arguments
            assert action.help, f"{name} {action.dest}"
        defaults = [a for a in parser._actions if a.default not in {None, False, argparse.SUPPRESS}]  # noqa: SLF001
        assert [a.dest for a in defaults if "(default " not in (a.help or "")] == []


def test_the_examples_of_the_help_can_be_typed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for folder in ("OLD", "tests/diagnosis/cases"):
        (tmp_path / folder).mkdir(parents=True)
    lines = [line.split("  ")[0] for line in map(str.strip, cli.EPILOG.splitlines()) if line.startswith("witnessmark ")]
    assert {shlex.split(line)[1] for line in lines} == set(commands())
    for line in lines:
        cli.parser().parse_args(shlex.split(line)[1:])


@pytest.mark.parametrize("arguments", [["--help"], ["serve", "--help"], ["--version"]])
def test_help_and_version_end_well(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        cli.main(arguments)
    assert stopped.value.code == 0
    assert "witnessmark" in capsys.readouterr().out


def test_serve_starts_the_server(monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[Settings] = []

    def noted(settings: Settings) -> int:
        started.append(settings)
        return 0

    monkeypatch.setattr(serving, "serve", noted)
    monkeypatch.setenv("WITNESSMARK_PORT", "9000")
    monkeypatch.setenv("WITNESSMARK_DRAIN_SECONDS", "3.5")
    assert cli.main(["serve", "--host", "::1", "--port", "8080", "--workers", "2"]) == 0
    assert started == [Settings(host="::1", port=8080, workers=2, drain_seconds=3.5)]


def test_serve_says_which_variable_cannot_be_used(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("WITNESSMARK_HOST", "")
    assert cli.main(["serve"]) == 2
    assert "WITNESSMARK_HOST: empty, which would listen on every address" in capsys.readouterr().err


def test_serve_says_which_data_file_cannot_be_used(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(*_arguments: object) -> None:
        raise DataError(["a.toml: row 1: bad", "b.toml: worse"])

    monkeypatch.setattr(serving, "serve", refuse)
    assert cli.main(["serve"]) == 1
    assert capsys.readouterr().err == (
        "witnessmark serve: not started, the data files cannot be used:\n  a.toml: row 1: bad\n  b.toml: worse\n"
    )


@pytest.mark.parametrize("code", [0, 1])
def test_demo_runs_and_passes_its_exit_code_on(code: int, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[demo.Wish] = []

    def run(wish: demo.Wish) -> int:
        told.append(wish)
        return code

    monkeypatch.setattr(demo, "run", run)
    assert cli.main(["demo", "--url", "http://127.0.0.1:8000", "--json"]) == code
    assert told == [demo.Wish(url="http://127.0.0.1:8000", as_json=True)]


def test_demo_without_the_client_says_what_is_missing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in [name for name in sys.modules if name.startswith("witnessmark.demo.")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "witnessmark_client", None)
    assert cli.main(["demo"]) == 1
    assert (
        capsys.readouterr().err
        == "witnessmark demo: needs witnessmark_client, which is not installed: pip install 'witnessmark[demo]'\n"
    )


@pytest.mark.parametrize("url", ["http://127.0.0.1:{port}", "no address"])
def test_demo_against_nobody_is_a_sentence_not_a_traceback(url: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["demo", "--url", url.format(port=free_port())]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("witnessmark demo: ")
    assert said.err.count("\n") == 1


def test_check_knowledge_finds_the_shipped_files_sound(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["check-knowledge"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == f"knowledge version: {data.version()}"
    assert lines[-1].startswith("figures: ")
    assert not any(line.startswith("error") for line in lines)


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """A copy of the shipped knowledge."""
    return Path(shutil.copytree(str(shipped()), tmp_path / "knowledge"))


def lose_modes(folder: Path) -> None:
    (folder / "modes.toml").unlink()


def lose_every_file(folder: Path) -> None:
    for file in folder.glob("*.toml"):
        file.unlink()


@pytest.mark.parametrize("spoil", [lose_modes, lose_every_file])
def test_check_knowledge_of_a_spoilt_folder_fails(
    spoil: Callable[[Path], None], copied: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spoil(copied)
    assert cli.main(["check-knowledge", str(copied)]) == 1
    assert "error: modes.toml" in capsys.readouterr().out


def few_cases(folder: Path) -> Path:
    """The first case of the published ones, in a folder of its own."""
    first = (CASES / "published-running.toml").read_text("utf-8").split("[[case]]")[1]
    folder.mkdir()
    (folder / "one.toml").write_text("[[case]]" + first, "utf-8")
    return folder


def test_check_knowledge_compares_two_versions(
    copied: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cases = few_cases(tmp_path / "few")
    assert cli.main(["check-knowledge", "--against", str(copied), "--cases", str(cases)]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == "changed on the case set: 0"


def test_check_knowledge_says_which_of_two_versions_cannot_be_read(
    copied: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lose_modes(copied)
    cases = few_cases(tmp_path / "few")
    assert cli.main(["check-knowledge", "--against", str(copied), "--cases", str(cases)]) == 1
    assert f"error in {copied}: modes.toml" in capsys.readouterr().out


def test_the_module_is_the_command() -> None:
    command = [sys.executable, "-m", "witnessmark.cli"]
    told = subprocess.run([*command, "--version"], capture_output=True, text=True, check=True)  # noqa: S603
    assert told.stdout == f"witnessmark {__version__}\n"
    assert subprocess.run(command, capture_output=True, check=False).returncode == 2  # noqa: S603
