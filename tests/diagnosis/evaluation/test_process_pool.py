"""Work shared out: the same results in the same order from one process and from several, and progress that is seen."""

from __future__ import annotations

import io
from dataclasses import fields

import numpy as np
import pytest

from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.experiments import measure, violations
from witnessmark.diagnosis.evaluation.process_pool import Pool, Progress, process_pool
from witnessmark.diagnosis.evaluation.simulation import Scenario, simulate


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def number_of_modes(knowledge: Knowledge, times: int) -> int:
    return times * len(knowledge.modes)


def test_alone(small: Knowledge) -> None:
    with process_pool(small, 1, None) as pool:
        assert pool.executor is None
        assert pool.each("modes", number_of_modes, [3, 1, 2]) == [15, 5, 10]


def test_several_processes_give_the_same_in_the_same_order(small: Knowledge) -> None:
    with process_pool(small, 2, None) as pool:
        assert pool.executor is not None
        simulated = simulate(small, Scenario(findings=(3, 8)), 30, 1)
        several = measure(pool, simulated, fit=True)
        alone = measure(Pool(small), simulated, fit=True)
        for column in fields(several):
            theirs, ours = getattr(several, column.name), getattr(alone, column.name)
            if theirs.dtype.kind == "f":  # sums over a batch depend on how many stand in it, in the last bits
                np.testing.assert_allclose(theirs, ours, rtol=1e-12, atol=1e-14)
            else:
                assert theirs.tobytes() == ours.tobytes()
        assert violations(pool, 30, 1) == violations(Pool(small), 30, 1)


def test_a_terminal_gets_a_bar() -> None:
    shown = Terminal()
    assert list(Progress(shown).watch("counting", [7, 8, 9, 10], 4)) == [7, 8, 9, 10]
    frames = shown.getvalue().split("\r")[1:]
    assert [frame.count("#") for frame in frames] == [10, 20, 30, 40]
    assert frames[-1].endswith("100 % counting\n")


def test_a_bar_is_drawn_once_a_percent() -> None:
    shown = Terminal()
    assert len(list(Progress(shown).watch("counting", range(1000), 1000))) == 1000
    assert shown.getvalue().count("\r") == 101


def test_a_file_gets_a_line_a_stage() -> None:
    shown = io.StringIO()
    assert list(Progress(shown).watch("counting", range(3), 3)) == [0, 1, 2]
    assert shown.getvalue() == "done: counting (3)\n"


def test_nothing_is_shown_where_nobody_looks(capsys: pytest.CaptureFixture[str], small: Knowledge) -> None:
    Pool(small).each("modes", number_of_modes, [1])
    assert capsys.readouterr() == ("", "")
