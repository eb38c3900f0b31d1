"""What is written can be served: it reads back as learned, has a version of its own, and is refused where broken."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from tests.evaluation.learning import SCENARIO, closed, truth

from witnessmark import cli, data, settings
from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue import knowledge as catalogue
from witnessmark.diagnosis.catalogue.knowledge import knowledge, load
from witnessmark.diagnosis.evaluation.simulation import simulate
from witnessmark.diagnosis.learning.folder import write
from witnessmark.diagnosis.learning.jobs import ClosedJob, JobMachine
from witnessmark.diagnosis.learning.learn import Learned, learn
from witnessmark.diagnosis.learning.page import page
from witnessmark.vocabulary import Compressor


@pytest.fixture(scope="module")
def jobs() -> list[ClosedJob]:
    own = truth(4)
    return closed(own, simulate(own, SCENARIO, 400, 4))


@pytest.fixture(scope="module")
def learned(jobs: list[ClosedJob]) -> Learned:
    return learn(knowledge(), jobs)


@pytest.fixture(scope="module")
def folder(learned: Learned, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("own") / "my-knowledge"
    write(learned, out, page(learned, knowledge(), "0" * 10, 400, {"One": None}))
    return out


@pytest.fixture
def served(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The service is set to answer by the folder."""
    monkeypatch.setenv("WITNESSMARK_KNOWLEDGE", str(folder))
    settings.current.cache_clear()
    yield folder
    monkeypatch.undo()
    settings.current.cache_clear()


def test_it_reads_back_as_learned(learned: Learned, folder: Path) -> None:
    back = load(folder)
    for kind in ("cause_mode", "mode_mode", "cause_finding", "mode_finding"):
        pairs = zip(getattr(back, kind), getattr(learned.knowledge, kind), getattr(knowledge(), kind), strict=True)
        for written, meant, before in pairs:
            assert written.probability == pytest.approx(meant.probability, rel=1e-3)
            assert (written.source == "closed-jobs") == (meant.probability != before.probability)
    for key, mode in learned.knowledge.modes.items():
        assert back.modes[key].prior == pytest.approx(mode.prior, rel=1e-3)
    for key, finding in learned.knowledge.findings.items():
        assert dict(back.findings[key].backgrounds) == pytest.approx(dict(finding.backgrounds), rel=1e-3)
    assert len(back.contexts) == len(knowledge().contexts) + len(learned.kinds)


def test_the_page_tells_what_changed_and_of_no_job(learned: Learned, folder: Path, jobs: list[ClosedJob]) -> None:
    text = (folder / "README.md").read_text("utf-8")
    assert f"({len(learned.changed)} of {len(learned.figures.values)} figures" in text
    assert "Selection." in text
    assert "too few jobs to say" in text
    assert not any(job.day.isoformat() in text for job in jobs)


def test_answers_carry_a_version_of_their_own(served: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert data.own_folder() == served
    own = data.version.__wrapped__()
    assert any(link.source == "closed-jobs" for link in catalogue.knowledge.__wrapped__().links)
    monkeypatch.setattr(data, "own_folder", lambda: None)
    assert data.version.__wrapped__() != own


def test_a_broken_folder_is_refused(served: Path) -> None:
    file = served / "modes.toml"
    kept = file.read_text("utf-8")
    file.write_text(kept.replace("prior = ", "prior = 7", 1), "utf-8")
    try:
        with pytest.raises(DataError, match=r"modes\.toml: mode 1, prior: Input should be less than 1"):
            catalogue.knowledge.__wrapped__()
    finally:
        file.write_text(kept, "utf-8")


def test_a_folder_that_is_not_there_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WITNESSMARK_KNOWLEDGE", "nowhere")
    settings.current.cache_clear()
    with pytest.raises(DataError, match="nowhere: there is no such folder"):
        catalogue.knowledge.__wrapped__()
    monkeypatch.undo()
    settings.current.cache_clear()


def test_the_command(jobs: list[ClosedJob], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    few = tmp_path / "jobs.jsonl"
    few.write_text("".join(job.model_dump_json() + "\n" for job in jobs[:24]), "utf-8")
    assert cli.main(["knowledge", "learn", str(few), "--out", str(tmp_path / "own")]) == 0
    assert "figures changed" in capsys.readouterr().out
    assert cli.main(["knowledge", "learn", str(few), "--out", str(tmp_path / "own")]) == 1
    assert "not empty" in capsys.readouterr().err
    few.write_text("{}", "utf-8")
    assert cli.main(["knowledge", "learn", str(few), "--out", str(tmp_path / "other")]) == 1
    assert "jobs.jsonl: line 1, day: Field required" in capsys.readouterr().err
    assert not (tmp_path / "other").exists()
    assert cli.main(["knowledge", "learn", str(tmp_path / "none"), "--out", str(tmp_path / "other")]) == 1


def test_kinds_of_compressor_are_written_as_contexts(tmp_path: Path) -> None:
    """Floodback in 80 of 200 scrolls and 10 of 200 reciprocating; what is written reads back as it was learned."""
    told = learn(knowledge(), floodback_by_kind())
    assert {kind.value for kind in told.kinds} == {"scroll", "reciprocating"}
    write(told, tmp_path, page(told, knowledge(), "0" * 10, 400, {}))
    back = load(tmp_path).contexts[-len(told.kinds) :]
    same = ("field", "value", "target", "odds_ratio", "rationale")
    assert [[getattr(k, name) for name in same] for k in back] == [
        [getattr(k, name) for name in same] for k in told.kinds
    ]
    assert {(k.source, k.reviewed) for k in back} == {("closed-jobs", "learned")}


def floodback_by_kind() -> list[ClosedJob]:
    numbers: tuple[tuple[Compressor, int], ...] = (("scroll", 80), ("reciprocating", 10))
    return [
        ClosedJob(
            day=date(2026, 1, 1),
            machine=JobMachine(compressor=compressor, shell="low-side", drive="fixed-speed"),
            queue="monitoring",
            confirmed_modes=("liquid-floodback",) if k < number else (),
            confirmed_causes=(),
            findings={},
        )
        for compressor, number in numbers
        for k in range(200)
    ]
