"""Numbers of substances; the isomers are those that chemistry has, counted by hand."""

from __future__ import annotations

import pytest

from witnessmark.refrigerants import numbering
from witnessmark.refrigerants.numbering import Atoms


@pytest.mark.parametrize(
    ("number", "atoms", "carbons"),
    [
        ("12", Atoms(0, 2, 2), 1),
        ("134A", Atoms(2, 4, 0), 2),
        ("1234YF", Atoms(2, 4, 0), 3),
        ("C318", Atoms(0, 8, 0), 4),
        ("290", Atoms(8, 0, 0), 3),
        ("13I1", Atoms(0, 3, 1), 1),
    ],
)
def test_the_atoms_of_a_number(number: str, atoms: Atoms, carbons: int) -> None:
    found = numbering.read(number)
    assert found is not None
    assert (found.atoms, found.carbons) == (atoms, carbons)


@pytest.mark.parametrize("number", ["410A", "717", "24", "144", "12B3", "12B0", "PROPANE", "9", "200", "102"])
def test_what_is_no_number_of_a_substance(number: str) -> None:
    assert numbering.read(number) is None


@pytest.mark.parametrize(
    ("number", "isomers"),
    [
        ("134", ["", "A"]),
        ("125", [""]),
        ("123", ["", "A", "B"]),
        ("142", ["", "A", "B"]),
        ("1132", ["", "A", "E", "Z"]),
        ("245", ["CA", "CB", "EA", "EB", "FA"]),
        ("1234", ["YC", "YE", "YEE", "YEZ", "YF", "ZC", "ZE", "ZEE", "ZEZ"]),
        ("218", [""]),
        ("22", [""]),
    ],
)
def test_the_isomers_of_a_number(number: str, isomers: list[str]) -> None:
    """C3H3F5 has five, of which 245ca, cb, ea, eb and fa are the names; C2HCl2F3 has three, C2H3ClF2 too."""
    ends = [
        "",
        *"ABCDEFZ",
        *(a + b for a in "ABCDEFXYZ" for b in "ABCDEF"),
        *(f"{a}{b}{c}" for a in "YZ" for b in "CDEF" for c in "EZ"),
    ]
    found = [end for end in ends if numbering.names_a_substance(number + end)]
    assert set(isomers) <= set(found)
    if number in ("245", "134", "142", "125", "123", "22"):
        assert found == isomers


def test_rings_ethers_and_four_carbons() -> None:
    assert numbering.names_a_substance("C318")
    assert numbering.names_a_substance("E143A")
    assert not numbering.names_a_substance("C12")
    assert not numbering.names_a_substance("E22")
    assert not numbering.names_a_substance("1336MZZE"), "told by the catalogue alone"
    assert numbering.names_a_substance("3110"), "C4F10: no other atom, so no isomer is left open by a letter"
    assert not numbering.leaves_isomer_open("134A")
