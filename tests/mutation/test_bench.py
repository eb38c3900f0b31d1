"""A small project with one module is copied, and its mutants are tried in the copy."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import pytest

from tests.mutation import trial
from tests.mutation.bench import Bench, Outcome, RedError
from tests.mutation.mutants import Mutant, mutants
from tests.mutation.selection import mirror, wider

TRIAL = re.sub(
    r"(?s)^UNCHANGED = \(.*?^\)", "UNCHANGED = ()", Path(trial.__file__).read_text("utf-8"), flags=re.MULTILINE
)
"""The small project uses none of the large libraries, and need not wait for them."""
MODULE = "restart/sum.py"
SOURCE = "def more(a):\n    while a < 3:\n        a += 1\n    return a\n"
FILES = {
    "service/witnessmark/__init__.py": "",
    "service/witnessmark/restart/__init__.py": "",
    f"service/witnessmark/{MODULE}": SOURCE,
    "service/witnessmark/restart/user.py": "from witnessmark.restart import sum\n",
    "tests/__init__.py": "",
    "tests/mutation/__init__.py": "",
    "tests/mutation/trial.py": TRIAL,
    "tests/restart/test_sum.py": "from witnessmark.restart.sum import more\n\ndef test(): assert more(1) == 3\n",
    "tests/restart/test_user.py": (
        "import witnessmark.restart.user as u\n\ndef test_past(): assert u.sum.more(9) == 9\n"
        "def test_step(): assert u.sum.more(2.5) == 3.5\ndef test_red(): assert u.sum is None\n"
    ),
    "tests/published/test_far.py": "import witnessmark\n",
}


@pytest.fixture
def project(tmp_path: Path) -> Path:
    for name, text in FILES.items():
        path = tmp_path / "project" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    return tmp_path / "project"


@pytest.fixture(autouse=True)
def no_plugins(monkeypatch: pytest.MonkeyPatch) -> None:
    """These small tests need no plugin, and start four times as fast without."""
    monkeypatch.setenv("PYTEST_DISABLE_PLUGIN_AUTOLOAD", "1")


def bench(project: Path, wider_seconds: int = 60) -> Bench:
    return Bench.copied(project.parent / "copy", wider_seconds, project)


def mutant(operator: str) -> Mutant:
    return next(m for m in mutants(MODULE, SOURCE) if m.operator == operator)


def test_the_tests_of_a_module_are_its_mirror_and_then_the_nearest_that_reach_it(project: Path) -> None:
    assert mirror(project, MODULE) == ["tests/restart/test_sum.py"]
    assert mirror(project, "restart/other.py") == []
    assert wider(project, MODULE) == ["tests/restart/test_user.py"]
    assert wider(project, "restart/user.py") == []


def test_a_mutant_is_killed_by_the_mirror_and_the_project_stays_as_it_is(project: Path) -> None:
    outcome = bench(project).judged(mutant("ReplaceComparisonOperator_Lt_LtE"), proven=False)
    assert (outcome.killed, outcome.by, outcome.test) == (True, "mirror", "tests/restart/test_sum.py::test")
    assert outcome.seconds > 0
    for root in (project, project.parent / "copy"):
        assert (root / "service/witnessmark" / MODULE).read_text("utf-8") == SOURCE


def test_a_red_test_kills_nothing_and_is_left_out(project: Path) -> None:
    path = project / "tests/restart/test_sum.py"
    path.write_text("from witnessmark.restart.sum import more\n\ndef test(): assert more(1) > 0\n", "utf-8")
    copy = bench(project)
    outcome = copy.judged(mutant("ReplaceComparisonOperator_Lt_LtE"), proven=False)
    assert (outcome.killed, outcome.by, outcome.test) == (False, "all", None)
    (copy.folder / "tests/restart/test_user.py").write_text(
        "from witnessmark.restart.sum import more\n\ndef test(): assert more(2) == 3\n", "utf-8"
    )
    outcome = copy.judged(mutant("ReplaceComparisonOperator_Lt_LtE"), proven=False)
    assert (outcome.killed, outcome.by, outcome.test) == (True, "wider", "tests/restart/test_user.py::test")


def test_a_mutant_without_end_is_ended(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.mutation.bench.FREE_SECONDS", 1)
    monkeypatch.setattr("tests.mutation.bench.FACTOR", 0)
    copy = bench(project)
    copy._needed["tests/restart/test_sum.py"] = 1.0  # noqa: SLF001 (the unchanged run needs no measuring here)
    assert copy.judged(mutant("Augmented"), proven=False) == Outcome(killed=True, by="time", test=None, seconds=1)


def test_a_red_test_of_the_mirror_is_left_out_too(project: Path) -> None:
    path = project / "tests/restart/test_sum.py"
    path.write_text("def test_red(): assert False\n\n" + path.read_text("utf-8").replace("from", "\nfrom"), "utf-8")
    outcome = bench(project).judged(mutant("ReplaceComparisonOperator_Lt_LtE"), proven=False)
    assert (outcome.killed, outcome.by, outcome.test) == (True, "mirror", "tests/restart/test_sum.py::test")


def test_nothing_is_said_if_the_mirror_fails_without_a_mutant(project: Path) -> None:
    (project / "tests/restart/test_sum.py").write_text("def test(): assert False\n", "utf-8")
    with pytest.raises(RedError, match=r"tests/restart/test_sum\.py fails without a mutant"):
        bench(project).judged(mutant("Augmented"), proven=False)


def test_what_is_proven_is_not_tried_on_the_wider_tests(project: Path) -> None:
    shutil.rmtree(project / "tests/restart")
    assert bench(project).judged(mutant("Augmented"), proven=True) == Outcome(
        killed=False, by="all", test=None, seconds=0.0
    )


def test_a_copied_module_keeps_its_time(project: Path) -> None:
    copy = bench(project)
    path = copy.folder / "service/witnessmark" / MODULE
    before = path.stat().st_mtime
    with copy._changed(MODULE, "x = 1\n"):  # noqa: SLF001
        assert abs(path.stat().st_mtime - before) > 1000
        assert path.read_text("utf-8") == "x = 1\n"
    assert path.stat().st_mtime == before
    assert os.path.getsize(path) == len(SOURCE)  # noqa: PTH202
