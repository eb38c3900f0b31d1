"""What is shipped: the wheel, the container file, the locks, the changelog."""

import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import pytest
from hatchling.builders.wheel import WheelBuilder

from witnessmark import __version__

ROOT = Path(__file__).parents[1]


def project(path: str) -> Any:
    return tomllib.loads((ROOT / path).read_text("utf-8"))["project"]


def test_versions_agree() -> None:
    assert project("pyproject.toml")["version"] == __version__
    assert project("clients/python/pyproject.toml")["version"] == __version__
    newest = re.search(r"^## (\S+)", (ROOT / "CHANGELOG.md").read_text("utf-8"), re.MULTILINE)
    assert newest is not None
    assert newest[1] == __version__


@pytest.mark.parametrize("name", ["run", "demo", "test"])
def test_every_locked_package_has_hashes_and_no_index_is_named(name: str) -> None:
    text = (ROOT / "requirements" / f"{name}.txt").read_text("utf-8")
    packages = re.findall(r"^[A-Za-z0-9_.\-\[\]]+==.*?(?=^\S|\Z)", text, re.MULTILINE | re.DOTALL)
    assert len(packages) > 10
    assert all("--hash=sha256:" in package for package in packages)
    assert "://" not in text
    assert "index-url" not in text


def test_node_lock_names_no_registry() -> None:
    assert "resolved" not in (ROOT / "openapi" / "lint" / "package-lock.json").read_text("utf-8")


def test_container_is_multi_stage_non_root_and_checks_its_health() -> None:
    text = (ROOT / "Dockerfile").read_text("utf-8")
    assert len(re.findall(r"^FROM ", text, re.MULTILINE)) == 2
    last = text[text.rindex("FROM ") :]
    user = re.search(r"^USER (\d+)", last, re.MULTILINE)
    assert user is not None
    assert int(user[1]) > 0
    assert "HEALTHCHECK" in last
    assert "/livez" in last  # one that drains is not ready, and not to be killed for it
    assert "--require-hashes" in text


WORKSHOP = (
    "witnessmark/diagnosis/evaluation/",
    "witnessmark/diagnosis/page.py",
    "witnessmark/diagnosis/case_page.py",
    "witnessmark/refrigerants/surfaces/build.py",
)
"""What a checkout has and no request needs."""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """The wheel, built here and now without a network."""
    (built,) = WheelBuilder(str(ROOT)).build(directory=str(tmp_path_factory.mktemp("wheel")), versions=["standard"])
    return zipfile.ZipFile(built)


def test_the_wheel_holds_the_service_and_not_the_workshop(wheel: zipfile.ZipFile) -> None:
    service = ROOT / "service"
    tree = {str(path.relative_to(service)) for path in (service / "witnessmark").rglob("*") if path.is_file()}
    wanted = {name for name in tree if "__pycache__" not in name and not name.startswith(WORKSHOP)}
    folder = ROOT / "openapi" / "examples"  # requests and answers, both shown in the document that is served
    examples = {f"witnessmark/api/examples/{path.relative_to(folder)}" for path in folder.rglob("*.json")}
    assert all(any(name.startswith(start) for name in tree) for start in WORKSHOP)
    assert {name for name in wheel.namelist() if ".dist-info/" not in name} == wanted | examples


def test_the_knowledge_is_checked_and_compared_from_the_wheel_alone(wheel: zipfile.ZipFile, tmp_path: Path) -> None:
    wheel.extractall(tmp_path / "site")
    (tmp_path / "cases").mkdir()
    text = (ROOT / "tests" / "diagnosis" / "cases" / "constructed-two-causes.toml").read_text("utf-8")
    (tmp_path / "cases" / "few.toml").write_text(text, "utf-8")
    shipped = str(tmp_path / "site" / "witnessmark" / "diagnosis" / "knowledge")
    # without coverage, which would take the files unpacked here for the sources
    environment = {key: value for key, value in os.environ.items() if not key.startswith("COVERAGE")}
    environment["PYTHONPATH"] = str(tmp_path / "site")
    arguments = ["check-knowledge", shipped, "--against", shipped, "--cases", "cases"]
    where = "import witnessmark, witnessmark.cli; print(witnessmark.__file__); raise SystemExit(witnessmark.cli.main())"
    command = [sys.executable, "-c", where, *arguments]
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=True)  # noqa: S603 - this interpreter, our own text
    assert done.stdout.startswith(str(tmp_path / "site"))
    assert done.stdout.endswith("changed on the case set: 0\n")
