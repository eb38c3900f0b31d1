"""The loader as a whole: what it accepts, what it refuses, and that the shipped files load."""

from __future__ import annotations

from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.knowledge import Knowledge, KnowledgeError, completions, knowledge, load
from witnessmark.diagnosis.catalogue.rows import Applies


def test_the_shipped_knowledge_loads_once_and_is_whole() -> None:
    held = knowledge()
    assert held is knowledge()
    assert len(held.modes) >= 27
    assert len(held.findings) >= 90
    assert len(held.causes) >= 28


def test_rows_are_frozen(small: Knowledge) -> None:
    with pytest.raises(FrozenInstanceError):
        small.findings["oil-black"].text = "other"  # type: ignore[misc]


def test_names_of_every_kind(small: Knowledge) -> None:
    assert small.name("oil-black") == "Oil black"
    assert small.name("oil-good") == "Oil clear and free of acid"
    assert small.name("floodback") == "Floodback"
    assert small.name("poor-work") == "Poor work"


@pytest.mark.parametrize(
    ("key", "state", "words"),
    [
        ("oil-black", "present", "Oil black"),
        ("oil-black", "absent", "Oil clear"),
        ("superheat", "low", "Superheat low"),
        ("superheat", "high", "Superheat high"),
        ("superheat", "normal", "Superheat normal"),
        ("head-pressure", "normal", "Condensing pressure: normal"),
    ],
)
def test_wording_of_a_state(small: Knowledge, key: str, state: str, words: str) -> None:
    assert small.findings[key].wording(state) == words


def test_version_follows_the_bytes(small_folder: Path, tmp_path: Path) -> None:
    for file in small_folder.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    (tmp_path / "notes.md").write_text("not knowledge")
    assert load(tmp_path).version == load(small_folder).version
    with (tmp_path / "modes.toml").open("a") as file_:
        file_.write("# another line\n")
    assert load(tmp_path).version != load(small_folder).version


def test_faults_stop_the_load(small_folder: Path, tmp_path: Path) -> None:
    for file in small_folder.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes().replace(b"prior = 0.02", b"prior = 1.02"))
    with pytest.raises(KnowledgeError, match="floodback: prior"):
        load(tmp_path)


def test_completions_of_a_machine() -> None:
    known = Machine("scroll", "low-side", "inverter")
    assert completions(known) == (known,)
    assert len(completions(Machine("scroll", None, "inverter"))) == 2
    assert len(completions(Machine())) == 16


@pytest.mark.parametrize(
    ("machine", "holds"),
    [
        (Machine("scroll", "low-side", "inverter"), True),
        (Machine("scroll", None, None), True),
        (Machine("screw", "low-side", "inverter"), False),
        (Machine("scroll", "high-side", "inverter"), False),
    ],
)
def test_applicability(machine: Machine, holds: bool) -> None:  # noqa: FBT001 - a parameter of the table
    row = Applies(frozenset({"scroll", "rotary"}), frozenset({"low-side"}), frozenset())
    assert row.to(machine) is holds
