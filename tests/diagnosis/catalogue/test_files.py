"""Reading rows: every fault named by file and row, all of them in one run."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.diagnosis.catalogue.files import Reader, built, read
from witnessmark.diagnosis.catalogue.rows import Finding, KnowledgeError, Mention


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
    with pytest.raises(KnowledgeError, match=r"modes\.toml: no such file"):
        read(tmp_path)


def test_all_faults_come_in_one_run(small_folder: Path, tmp_path: Path) -> None:
    copied(
        small_folder,
        tmp_path,
        {"findings.toml": ('kind = "yes-no"', 'sort = "yes-no"'), "modes.toml": ('kind = "initiating"\n', "")},
    )
    with pytest.raises(KnowledgeError) as caught:
        read(tmp_path)
    assert caught.value.faults == [
        "findings.toml 1 oil-black: unknown key sort",
        "findings.toml 1 oil-black: no kind",
        "modes.toml 1 floodback: no kind",
    ]


def test_an_id_that_stands_twice(small_folder: Path, tmp_path: Path) -> None:
    copied(small_folder, tmp_path, {"modes.toml": ('id = "overheating"', 'id = "floodback"')})
    with pytest.raises(KnowledgeError, match="floodback stands twice"):
        read(tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('tools = ["gauges"]\n', 'tools = ["gauges"]\nhurry = true\n', "unknown key hurry"),
        ('mode = "floodback"\n', "", "no target"),
    ],
)
def test_advice(small_folder: Path, tmp_path: Path, old: str, new: str, fault: str) -> None:
    copied(small_folder, tmp_path, {"dispatch.toml": (old, new)})
    with pytest.raises(KnowledgeError, match=fault):
        read(tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (
            "mention.note = { present = 0.6, absent = 0.1 }",
            "mention.note = { present = 0.6 }",
            "mention.note: no absent",
        ),
        ("minutes = 5", "minutes = 5\nhours = 1", "check: unknown key hours"),
        ("mention.note = { present = 0.6, absent = 0.1 }", "mention = { note = 0.5 }", "findings.toml 1 oil-black"),
        ('applies = { shell = ["low-side"] }', 'applies = { colour = ["red"] }', "findings.toml 4 sump-cold"),
    ],
)
def test_nested_tables(small_folder: Path, tmp_path: Path, old: str, new: str, fault: str) -> None:
    copied(small_folder, tmp_path, {"findings.toml": (old, new)})
    if "mention = {" in new:
        text = (tmp_path / "findings.toml").read_text()
        (tmp_path / "findings.toml").write_text(text.replace("mention.form = { present = 0.9, absent = 0.8 }\n", "", 1))
    with pytest.raises(KnowledgeError, match=fault):
        read(tmp_path)


def test_a_rule_on_a_mode(small_folder: Path, tmp_path: Path) -> None:
    copied(small_folder, tmp_path, {"safety.toml": ("at_least = 0.3", "more_than = 0.3")})
    with pytest.raises(KnowledgeError, match="mode: unknown key more_than"):
        read(tmp_path)


def test_links_keep_their_ends(small_folder: Path) -> None:
    links = Reader(small_folder).links("links-mode-mode")
    assert (links[0].origin, links[0].target) == ("floodback", "burnout")


def test_built_turns_lists_into_tuples() -> None:
    assert built(Mention, {"present": 0.5, "absent": 0.1}, "here") == Mention(0.5, 0.1)
    with pytest.raises(KnowledgeError, match="here: no text"):
        built(Finding, {"id": "x"}, "here")
