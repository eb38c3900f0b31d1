"""The checks on generated clients see what they look for."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.contract import __main__ as contract
from tests.contract.generators import GeneratorError, compiled, refuse_numbered, run


@pytest.mark.parametrize("text", ["class Verdict1(Enum):", "export interface Unit2 {", "type Machine3 = string"])
def test_a_numbered_class_is_refused(tmp_path: Path, text: str) -> None:
    file = tmp_path / "made.py"
    file.write_text(f"# made\n{text}\n", "utf-8")
    with pytest.raises(GeneratorError, match=r"numbered classes in made\.py: (Verdict1|Unit2|Machine3)"):
        refuse_numbered("a generator", file)


def test_other_names_are_taken(tmp_path: Path) -> None:
    (tmp_path / "made.py").write_text("class Pressure:\n    unit1 = 3\n", "utf-8")
    compiled("a generator", tmp_path)


def test_what_does_not_compile_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "made.py").write_text("class:\n", "utf-8")
    with pytest.raises(GeneratorError, match="does not compile"):
        compiled("a generator", tmp_path)
    assert "SyntaxError" in capsys.readouterr().out


def test_a_tool_that_fails_or_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(GeneratorError, match=r"(?s)^python failed with exit code 3:.*why"):
        run("python", sys.executable, "-c", "import sys; sys.stderr.write('why'); sys.exit(3)")
    with pytest.raises(GeneratorError, match="^nothing cannot be run: "):
        run("nothing", tmp_path / "nothing")


def test_tools_that_cannot_be_installed_are_said_to_be_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(contract, "NODE_TOOLS", tmp_path / "none")
    monkeypatch.setattr(contract, "BIN", tmp_path)
    assert contract.main(["rules"]) == 1
    assert capsys.readouterr().err.startswith("contract: npm cannot be run: ")
    npm = tmp_path / "npm"
    npm.write_text("#!/bin/sh\necho no registry >&2\nexit 7\n", "utf-8")
    npm.chmod(0o755)
    assert contract.main(["rules"]) == 1
    told = capsys.readouterr().err
    assert "linter and generators (openapi/lint/package-lock.json) cannot be installed" in told
    assert "exit code 7" in told
    assert "no registry" in told
