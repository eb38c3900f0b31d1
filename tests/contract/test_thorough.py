"""What the long fuzzing run takes up again, and what it makes of the fuzzer's words; the run itself is `make fuzz`."""

from __future__ import annotations

from pathlib import Path
from subprocess import CompletedProcess

import pytest

from tests.contract import thorough
from tests.contract.thorough import Fuzzed, left, operations, recorded

ONE = Fuzzed("superheat", 2000, 2011, 1, "2026-12-01")


def test_every_operation_is_taken_up_once() -> None:
    known = operations()
    assert len(known) == len(set(known)) >= 45
    assert {"superheat", "work_case", "diagnose", "livez"} <= set(known)


def test_what_came_through_is_read_back(tmp_path: Path) -> None:
    file = tmp_path / "fuzzed.toml"
    file.write_text(thorough.HEAD + ONE.row() + Fuzzed("restart", 20, 31, 2, "2026-12-01").row(), "utf-8")
    assert recorded(file) == (ONE, Fuzzed("restart", 20, 31, 2, "2026-12-01"))


def test_fewer_examples_than_asked_for_do_not_count() -> None:
    done = [ONE, Fuzzed("restart", 1999, 2000, 1, "2026-12-01")]
    assert left(2000, done, ["superheat", "restart", "cycle"]) == ("restart", "cycle")


def test_the_record_names_operations_of_the_document_only() -> None:
    names = [one.operation for one in recorded()]
    assert len(names) == len(set(names))
    assert set(names) <= set(operations())


@pytest.mark.parametrize(
    ("code", "words", "through"),
    [
        (0, "  2011 generated, 2011 passed", 2011),
        (0, "  20 generated, 19 passed", None),
        (1, "  9 generated, 9 passed", None),
        (0, "", None),
    ],
)
def test_only_a_clean_run_is_recorded(
    monkeypatch: pytest.MonkeyPatch, code: int, words: str, through: int | None
) -> None:
    monkeypatch.setattr(
        "tests.contract.thorough.subprocess.run", lambda *_, **__: CompletedProcess([], code, words, "")
    )
    done = thorough.fuzzed("http://127.0.0.1:1", "superheat", 2000, 1)
    assert (done and done.generated) == through
