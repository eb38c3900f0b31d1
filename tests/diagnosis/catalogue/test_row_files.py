"""Reading rows: every fault named by file, row and key, all of them in one run."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue.knowledge import MODE_MODE, MODES, read, shipped
from witnessmark.diagnosis.catalogue.rows import Knowledge


def copied(source: Path, to: Path, changes: dict[str, tuple[str, str]] | None = None) -> Path:
    for file in source.iterdir():
        text = file.read_text("utf-8")
        for old, new in [(changes or {}).get(file.name, ("", ""))]:
            assert old in text
            (to / file.name).write_text(text.replace(old, new, 1) if old else text, "utf-8")
    return to


def test_a_missing_file_is_named(small_folder: Path, tmp_path: Path) -> None:
    copied(small_folder, tmp_path)
    (tmp_path / "modes.toml").unlink()
    with pytest.raises(DataError, match=r"modes\.toml: .*No such file"):
        read(tmp_path)


def test_all_faults_come_in_one_run(small_folder: Path, tmp_path: Path) -> None:
    copied(
        small_folder,
        tmp_path,
        {
            "findings.toml": ('kind = "yes-no"', 'sort = "yes-no"'),
            "modes.toml": ('role = "initiating"\n', ""),
            "contexts.toml": ("context = [", "circumstance = ["),
        },
    )
    with pytest.raises(DataError) as caught:
        read(tmp_path)
    assert caught.value.faults == (
        "findings.toml: finding 1, kind: Field required",
        "findings.toml: finding 1, sort: Extra inputs are not permitted",
        "modes.toml: mode 1, role: Field required",
        "contexts.toml: circumstance, [key]: Input should be 'context'",
    )


def test_a_file_that_is_no_toml(small_folder: Path, tmp_path: Path) -> None:
    copied(small_folder, tmp_path, {"conflicts.toml": ("pair = [", "pair = ")})
    with pytest.raises(DataError, match=r"^conflicts\.toml: "):
        read(tmp_path)


def test_an_id_that_stands_twice(small_folder: Path, tmp_path: Path) -> None:
    copied(small_folder, tmp_path, {"modes.toml": ('id = "overheating"', 'id = "floodback"')})
    with pytest.raises(DataError, match=r"modes\.toml: floodback stands twice"):
        read(tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('tools = ["gauges"]\n', 'tools = ["gauges"]\nhurry = true\n', "advice 1, hurry: Extra inputs"),
        ('mode = "floodback"\n', "", "advice 1, mode: Field required"),
        ("persons = 1", "persons = 9", "advice 1, persons: Input should be less than or equal to 4"),
        ('"Note the superheat"', "7", r"advice 1, do_now 1: Input should be an object"),
    ],
)
def test_advice(small_folder: Path, tmp_path: Path, old: str, new: str, fault: str) -> None:
    copied(small_folder, tmp_path, {"dispatch.toml": (old, new)})
    with pytest.raises(DataError, match=rf"dispatch\.toml: {fault}"):
        read(tmp_path)


def test_a_rule_on_a_mode(small_folder: Path, tmp_path: Path) -> None:
    copied(small_folder, tmp_path, {"safety.toml": ("at_least = 0.3", "more_than = 0.3")})
    with pytest.raises(DataError, match="rule 2, when, mode, more_than: Extra inputs"):
        read(tmp_path)


def test_links_keep_their_ends(small: Knowledge, small_folder: Path) -> None:
    links = MODE_MODE.rows(small_folder)
    assert (links[0].origin, links[0].target) == ("floodback", "burnout")
    assert (small.mode_finding[0].origin, small.mode_finding[0].target) == ("floodback", "superheat")
    assert small.cause_mode[0].origin in small.causes
    assert small.cause_finding[0].target in small.findings


def test_the_folder_of_the_shipped_knowledge_reads_like_the_registered_files(small_folder: Path) -> None:
    assert MODES.name == "modes.toml"
    assert MODES.rows(shipped()) == MODES.rows()
    assert MODES.rows(small_folder) != MODES.rows()
