"""What is shipped: the container file, the locks, the changelog."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

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
    assert "/readyz" in last
    assert "--require-hashes" in text
