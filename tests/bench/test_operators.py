"""What the checkers of the operators' files are given, and what becomes of what they say."""

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.bench import operators


def test_every_query_of_the_dashboard_is_a_rule() -> None:
    file = operators.FOLDER / "dashboard.json"
    (group,) = json.loads(operators.queries(file))["groups"]
    panels = json.loads(file.read_text("utf-8"))["panels"]
    assert [rule["expr"] for rule in group["rules"]] == [t["expr"] for panel in panels for t in panel["targets"]]
    assert len({rule["record"] for rule in group["rules"]}) == len(group["rules"])


def test_the_proxy_is_tried_with_files_and_a_port_of_its_own(tmp_path: Path) -> None:
    example = (operators.FOLDER / "nginx.conf").read_text("utf-8")
    whole = operators.proxy(example, tmp_path)
    assert operators.HTTP2 in example
    assert "/etc/" not in whole
    assert "listen 443" not in whole
    assert whole.count(f"{tmp_path}/") == 4
    assert whole.count("{") == whole.count("}")


@pytest.mark.parametrize("code", [0, 1])
def test_a_fault_is_the_exit_code(
    code: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked: list[str] = []

    def run(command: list[str], **_more: object) -> subprocess.CompletedProcess[str]:
        asked.append(Path(command[0]).name)
        return subprocess.CompletedProcess(command, code if "hadolint" in command[0] else 0, "said\n", "")

    monkeypatch.setattr(shutil, "which", lambda name: None if name == "nginx" else name)
    monkeypatch.setattr(subprocess, "run", run)
    assert operators.main(["/tools"]) == code
    assert asked == ["hadolint", *["kubernetes-validate"] * len(operators.KUBERNETES), "promtool"]
    told = capsys.readouterr().out
    assert f"hadolint: {'FAULTS' if code else 'sound'}" in told
    assert "nginx: not checked, nginx is not installed" in told
