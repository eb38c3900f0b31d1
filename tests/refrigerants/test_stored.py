"""Curves of mixtures from an operator's folder: answered from, in any order of components, or refused at the start."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from witnessmark import cli, data, settings
from witnessmark.refrigerants import build_curves, catalogue, compositions, curves, lines, names, on_demand, stored
from witnessmark.refrigerants.curves import Curves

TEXT = "R-32/125 (60/40)"


@pytest.fixture(scope="module")
def traced(tmp_path_factory: pytest.TempPathFactory) -> Curves:
    return build_curves.mixture(TEXT, tmp_path_factory.mktemp("traced"))[1]


@pytest.fixture
def folder(tmp_path: Path, traced: Curves, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    (tmp_path / stored.file_name(TEXT)).write_text(stored.text(TEXT, traced), "utf-8")
    monkeypatch.setattr(data, "current", lambda: replace(settings.Settings(), mixtures=str(tmp_path)))
    stored.forget()
    yield tmp_path
    stored.forget()


@pytest.mark.usefixtures("folder")
@pytest.mark.parametrize("name", [TEXT, "R-125/32 (40/60)"])
def test_a_request_for_it_is_answered_from_its_file_at_once(name: str, traced: Curves) -> None:
    """In a thread whose event loop must not wait a mixture that is not kept asks to be traced elsewhere."""

    async def ask() -> Curves:
        return lines.load(names.resolve(name))

    assert asyncio.run(ask()) == traced
    on_demand.trace.cache_clear()
    with pytest.raises(on_demand.UntracedError):
        asyncio.run(_other())


async def _other() -> Curves:
    return lines.load("R-32/125 (61/39)")


def test_it_reaches_farther_than_what_is_traced_on_demand_and_agrees_with_it(traced: Curves) -> None:
    quick = on_demand.trace((("R-32", 0.6), ("R-125", 0.4)))
    assert traced.t_min <= quick.t_min
    assert traced.t_max > quick.t_max
    assert build_curves.compare(traced, quick) < 1e-5


@pytest.mark.usefixtures("folder")
def test_the_state_of_knowledge_tells_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    data.version.cache_clear()
    with_it = data.version()
    monkeypatch.setattr(data, "current", settings.Settings)
    data.version.cache_clear()
    assert data.version() != with_it
    data.version.cache_clear()


def _changed(**changes: Any) -> Callable[[str], str]:
    return lambda text: json.dumps(json.loads(text) | changes)


def _of_curves(**changes: Any) -> Callable[[str], str]:
    def change(text: str) -> str:
        whole = json.loads(text)
        whole["curves"] |= changes
        return json.dumps(whole)

    return change


def _sealed(**changes: Any) -> Callable[[str], str]:
    """Changed, and the hash with it."""

    def change(text: str) -> str:
        found = json.loads(_of_curves(**changes)(text))["curves"]
        return stored.text(TEXT, curves.from_json(json.dumps(found)))

    return change


def _swapped(text: str) -> str:
    found = json.loads(text)["curves"]
    return _sealed(bubble=found["dew"], dew=found["bubble"])(text)


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (_of_curves(critical_pressure=5e6), "not the curves that were written"),
        (_changed(sha256="0" * 64), "not the curves that were written"),
        (_changed(mixture="R-32/125 (60/41)"), "not the text of a mixture"),
        (_changed(mixture="R-410A"), "not the text of a mixture"),
        (_sealed(library="CoolProp 7.0.0"), "trace it anew"),
        (_swapped, r"json: .*"),
        (lambda text: text[:200], "json"),
        (_changed(more=1), "more: Extra inputs"),
    ],
)
def test_what_is_not_as_it_was_written_is_refused_at_the_start(
    folder: Path, change: Callable[[str], str], fault: str
) -> None:
    file = folder / stored.file_name(TEXT)
    stored.check_folder()
    file.write_text(change(file.read_text("utf-8")), "utf-8")
    stored.forget()
    with pytest.raises(data.DataError, match=fault):
        stored.check_folder()


def test_one_mixture_in_two_files_is_refused(folder: Path, traced: Curves) -> None:
    (folder / "again.json").write_text(stored.text("R-125/32 (40/60)", traced), "utf-8")
    stored.forget()
    with pytest.raises(data.DataError, match="in another file too"):
        stored.check_folder()


def test_a_folder_that_is_not_there_is_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(data, "current", lambda: replace(settings.Settings(), mixtures=str(folder / "none")))
    stored.forget()
    with pytest.raises(data.DataError, match="no such folder"):
        stored.check_folder()


def test_the_command_writes_what_a_start_reads(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, traced: Curves, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(build_curves, "build", lambda _: traced)
    assert cli.main(["trace-mixture", "R-125/32 (40/60)", "R-410A", "--out", str(tmp_path / "new")]) == 0
    said = capsys.readouterr().out
    assert f"{TEXT}, {traced.t_min - 273.15:.1f} to" in said
    assert "R-410A is catalogued" in said
    monkeypatch.setattr(data, "current", lambda: replace(settings.Settings(), mixtures=str(tmp_path / "new")))
    stored.forget()
    assert stored.find((("R-125", 0.4), ("R-32", 0.6))) == traced
    stored.forget()


def test_the_command_tells_what_cannot_be_traced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def lost(_: str) -> Curves:
        raise RuntimeError("the line was lost")

    monkeypatch.setattr(build_curves, "build", lost)
    assert cli.main(["trace-mixture", TEXT, "R-32/nothing (60/40)", "--out", str(tmp_path)]) == 1
    said = capsys.readouterr().err
    assert "the line was lost" in said
    assert "R-32/nothing" in said
    assert not list(tmp_path.iterdir())


def test_the_text_of_every_catalogued_blend_makes_a_name_of_its_own() -> None:
    blends = [row.components for row in map(catalogue.recipe, catalogue.designations()) if len(row.components) > 1]
    assert len({stored.file_name(compositions.text(parts)) for parts in blends}) == len(blends)
