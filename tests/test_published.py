"""The register of outside sources names every outside check, and nothing else."""

from __future__ import annotations

from tests.published.register import cases, functions, sources


def test_every_outside_check_names_its_source() -> None:
    told = {test for row in sources() for test in row.tests}
    assert functions() - told == set(), "a check without a source is not outside"
    assert told - functions() == set(), "a source of a test that is not there"


def test_there_are_sixty_sources() -> None:
    assert len(sources()) >= 60


def test_a_source_of_which_only_the_kind_is_known_says_so() -> None:
    kinds = ("A ", "Calculator page", "Motor forum", "Refrigerant maker", "Printed ", "Trade ", "Training ", "Course ")
    assert [row.title for row in sources() if row.title.startswith(kinds) and not row.kind_only] == []


def test_what_is_counted_is_cases() -> None:
    assert cases(["a.py::test_x[1-2]", "a.py::test_x[b::c]", "a.py::test_y", "", "3 tests"]) == {
        "test_x": 2,
        "test_y": 1,
    }


def test_no_check_of_this_folder_is_called_memory() -> None:
    """What rests on memory alone stands in tests/remembered."""
    assert [row.title for row in sources() if "memory" in row.title.lower()] == []
