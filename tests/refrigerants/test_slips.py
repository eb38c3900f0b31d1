"""Names that are nearly a designation: what is wrong, what is near, and when it may be newer than the list."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from witnessmark.refrigerants import catalogue, library
from witnessmark.refrigerants.names import NAMES, NotServedError, UnservedError, fold, mixture, resolve
from witnessmark.refrigerants.slips import NEWER, beyond


def refused(name: str) -> NotServedError:
    with pytest.raises(NotServedError) as caught:
        resolve(name)
    return caught.value


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("R-290a", ("R-290",)),
        ("r290 B", ("R-290",)),
        ("R-32a", ("R-32",)),
        ("R-717a", ("R-717",)),
        ("R-600b", ("R-600", "R-600a")),
        ("R-134b", ("R-134a",)),
        ("R-E170a", ("R-E170",)),
        ("R-1234yg", ("R-1234yf", "R-1234ze(E)", "R-1234ze(Z)")),
        ("R-41OA", ("R-410A",)),
        ("R-1Z34yf", ()),
    ],
)
def test_a_letter_that_no_designation_has_is_a_slip_with_the_nearest(name: str, near: tuple[str, ...]) -> None:
    error = refused(name)
    assert not isinstance(error, UnservedError)
    assert str(error).startswith("no such refrigerant")
    assert NEWER not in str(error)
    assert not near or error.near == near


SINGLES = [
    name for name in catalogue.designations() if re.fullmatch(r"R-E?\d+[a-z]{0,2}", name) and name[2] not in "45"
]


def test_no_letter_behind_a_substance_that_has_another_is_called_real_or_near_something_else() -> None:
    """Worst: a slip of R-290 is sent to another refrigerant."""
    wrong = {}
    for name in SINGLES:
        number = re.sub("[a-z]+$", "", name)
        for letter in "qz":
            near = refused(f"{number}{letter}").near
            if not near or any(re.sub(r"[a-zA-Z]+(\([EZ]\))?$", "", one) != number for one in near):
                wrong[f"{number}{letter}"] = near
    assert len(SINGLES) > 40
    assert wrong == {}


@pytest.mark.parametrize("name", ["R-480A", "R-482A", "R-477B", "R-517A", "R-499"])
def test_a_blend_past_the_end_of_the_list_may_be_newer_than_it(name: str) -> None:
    error = refused(name)
    assert not isinstance(error, UnservedError)
    assert NEWER in str(error)
    assert "known here end with R-" in str(error)


@pytest.mark.parametrize(("name", "near"), [("R-410C", ("R-410A", "R-410B")), ("R-404B", ("R-404A",))])
def test_a_further_letter_of_a_blend_may_be_newer_than_the_list(name: str, near: tuple[str, ...]) -> None:
    error = refused(name)
    assert NEWER in str(error)
    assert error.near == near


def told_pairs() -> Iterator[tuple[str, str]]:
    for row in NAMES().unserved:
        for pair in re.findall(r"(R-[^\s,/]+)/(R-[^\s,/]+)", row.reason):
            yield row.designations[0], pair


def test_every_pair_that_is_told_as_missing_is_missing() -> None:
    told = list(told_pairs())
    assert len({designation for designation, _ in told}) == 10
    assert [row for row in told if library.has_pair(*row[1])] == []


def test_no_refusal_speaks_of_a_pair_or_a_component_without_naming_it() -> None:
    for row in NAMES().unserved:
        assert "one of its pairs" not in row.reason
        for name in row.designations if "pair" in row.reason or "component" in row.reason else ():
            assert re.search(r"for (its pairs? )?R-", str(refused(name)))
            assert isinstance(refused(fold(name)), UnservedError)


def test_a_mixture_names_every_pair_that_lacks() -> None:
    with pytest.raises(NotServedError, match=r"R-22 with R-600a, R-124 with R-600a|R-22 with R-600a.*R-124") as caught:
        mixture([("R-22", 0.5), ("R-124", 0.3), ("R-600a", 0.2)])
    assert str(caught.value).count(" with ") == 2


def test_a_blend_within_the_list_is_not_beyond_it() -> None:
    known = {"476A": "R-476A", "516A": "R-516A"}
    assert beyond("475A", known) == ""
    assert beyond("476B", known) == ""
    assert beyond("477A", known).startswith("no such refrigerant: the zeotropic blends known here end with R-476A")
