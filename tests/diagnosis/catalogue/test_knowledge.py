"""The loader as a whole: what it accepts, what it refuses, and that the shipped files load."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pydantic import ValidationError

from witnessmark.data import DataError
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.knowledge import check_knowledge, knowledge, load
from witnessmark.diagnosis.catalogue.rows import Applies, Knowledge


def test_the_shipped_knowledge_loads_once_and_is_whole() -> None:
    assert knowledge() is knowledge()
    assert len(knowledge().modes) >= 27
    assert len(knowledge().findings) >= 90
    assert len(knowledge().causes) >= 28
    check_knowledge()


def test_rows_are_frozen(small: Knowledge) -> None:
    with pytest.raises(ValidationError, match="frozen"):
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


def test_faults_stop_the_load(small_folder: Path, tmp_path: Path) -> None:
    for file in small_folder.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes().replace(b"prior = 0.02", b"prior = 1.02"))
    with pytest.raises(DataError, match=r"modes\.toml: mode 1, prior: Input should be less than 1"):
        load(tmp_path)


def test_faults_between_files_stop_the_load_too(small_folder: Path, tmp_path: Path) -> None:
    for file in small_folder.iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes().replace(b'"oil-acid"]', b'"oil-sour"]'))
    with pytest.raises(DataError, match="normal oil-good: unknown id oil-sour"):
        load(tmp_path)


def test_completions_of_a_machine(shipped: Knowledge) -> None:
    known = Machine("scroll", "low-side", "inverter", "hermetic", "three-phase")
    assert shipped.completions(known) == (known,)
    assert len(shipped.completions(replace(known, shell=None))) == 2
    # four kinds of compressor, two sides, two drives, three constructions, one phase or three
    assert len(shipped.completions(Machine())) == 96


def test_what_no_row_tells_apart_changes_nothing(small: Knowledge) -> None:
    assert not small.parts & {"construction", "phases"}
    inquiry_of = Machine("scroll", construction="semi-hermetic", phases="three-phase")
    assert small.known(inquiry_of) == small.known(Machine("scroll"))
    assert small.completions(inquiry_of) == small.completions(Machine("scroll"))


def test_what_a_row_or_a_context_tells_apart_is_known(small: Knowledge) -> None:
    rule = small.safety[0].model_copy(update={"applies": Applies(phases=frozenset({"three-phase"}))})
    wider = replace(small, safety=(rule, *small.safety[1:]))
    assert wider.parts - small.parts == {"phases"}
    assert len(wider.completions(Machine())) == 2 * len(small.completions(Machine()))
    assert wider.known(Machine(phases="three-phase")).phases == "three-phase"
    context = small.contexts[0].model_copy(update={"field": "construction"})
    assert "construction" in replace(small, contexts=(context,)).parts
