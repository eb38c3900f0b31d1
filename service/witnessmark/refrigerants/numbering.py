"""Whether a number names a substance at all: the numbering of ASHRAE 34 / ISO 817, without a list of who makes what.

The last digit counts fluorine, the one before it hydrogen plus one, the third carbon minus one, the fourth double
bonds; the bonds that are left hold chlorine, or bromine (B) and iodine (I) with their number. A leading E is an ether,
C a ring. Letters tell isomers apart: of two carbons by how unlike both are laden; of three by what the middle one
holds, and how unlike the ends are or, at a double bond, what its end holds. Source: ASHRAE 34, section 4, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import product

_NUMBER = re.compile(r"(?P<kind>[EC]?)(?P<digits>\d{2,4})(?P<other>[BI]\d)?(?P<letters>[A-Z]*)")
BLENDS = range(400, 1000)
"""Numbers of three digits from here on stand for blends, or were given out in turn."""
SMALLEST_RING = 3
LETTERS = "ABCDEF"


@dataclass(frozen=True, slots=True)
class Atoms:
    """What a carbon, or several, hold besides each other; chlorine counts bromine and iodine too."""

    hydrogen: int
    fluorine: int
    chlorine: int

    def without(self, other: Atoms) -> Atoms:
        """What is left; a number below zero where there is not so much."""
        rest = (self.hydrogen - other.hydrogen, self.fluorine - other.fluorine, self.chlorine - other.chlorine)
        return Atoms(*rest)

    @property
    def possible(self) -> bool:
        """Whether no number is below zero."""
        return min(self.hydrogen, self.fluorine, self.chlorine) >= 0


MIDDLES = {
    "A": Atoms(0, 0, 2), "B": Atoms(0, 1, 1), "C": Atoms(0, 2, 0),
    "D": Atoms(1, 0, 1), "E": Atoms(1, 1, 0), "F": Atoms(2, 0, 0),
}  # fmt: skip
"""What two bonds hold, by the letter."""
SINGLES = {"X": Atoms(0, 0, 1), "Y": Atoms(0, 1, 0), "Z": Atoms(1, 0, 0)}
"""What the middle carbon of three holds at a double bond."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number taken apart. kind: E ether, C ring, or nothing; letters: those of the isomer."""

    kind: str
    carbons: int
    double_bonds: int
    atoms: Atoms
    letters: str

    @property
    def whole(self) -> bool:
        """Whether there is an isomer with these letters, and with fewer there are several."""
        if self.kind:
            return self.carbons > 1 and (not self.letters if self.kind == "C" else self._of_ether())
        if self.carbons == 1:
            return not self.letters
        return self._of_two() if self.carbons == 2 else self._of_three()  # noqa: PLR2004 - as the names say

    @property
    def _plain(self) -> str:
        """The letters without the last one that says how a double bond is laden, E or Z."""
        of_isomer = self.carbons - 1 if self.carbons == SMALLEST_RING else self.carbons - 2
        laden = self.double_bonds and self.letters[-1:] in ("E", "Z") and len(self.letters) != of_isomer
        return self.letters[:-1] if laden else self.letters

    def _of_ether(self) -> bool:
        """Two carbons with oxygen between them hold as much as two that are joined; of more no letter is told."""
        return self._of_two() if self.carbons == 2 else not (self.letters and self.alone)  # noqa: PLR2004

    def _of_two(self) -> bool:
        if self._plain != self.letters and not bends(self.atoms):
            return False
        return self._plain in ["", *LETTERS][: splits(self.atoms, 3 - self.double_bonds)]

    def _of_three(self) -> bool:
        """Of four carbons and more the letters are too many to be told from slips: none counts."""
        if len(self._plain) != SMALLEST_RING - 1 or self.carbons > SMALLEST_RING:
            return not self.letters and self.alone
        middle, end = self._plain[0], self._plain[1]
        if self.double_bonds:
            held = SINGLES.get(middle), MIDDLES.get(end)
            return None not in held and self.atoms.without(held[0]).without(held[1]).possible  # type: ignore[arg-type]
        rest = self.atoms.without(MIDDLES.get(middle, self.atoms))
        return rest.possible and end in LETTERS[: splits(rest, 3)]

    @property
    def alone(self) -> bool:
        """Whether there is one kind of atom only, so that no isomer is left open."""
        return sum(n > 0 for n in (self.atoms.hydrogen, self.atoms.fluorine, self.atoms.chlorine)) == 1


def splits(atoms: Atoms, places: int) -> int:
    """In how many ways two carbons with so many places each can hold these atoms, mirrored ones once.

    Example: two hydrogen and four fluorine in three places each are CHF2-CHF2 and CH2F-CF3: `splits(Atoms(2, 4, 0), 3)`
    is 2.
    """
    ways = set()
    for hydrogen, fluorine in product(range(places + 1), repeat=2):
        one = Atoms(hydrogen, fluorine, places - hydrogen - fluorine)
        other = atoms.without(one)
        if one.possible and other.possible:
            ways.add(frozenset((one, other)))
    return len(ways)


def bends(atoms: Atoms) -> bool:
    """Whether two carbons with a double bond can hold these in two ways, E and Z: each of them two unlike ones.

    >>> bends(Atoms(2, 2, 0)), bends(Atoms(1, 3, 0)), bends(Atoms(4, 0, 0))
    (True, False, False)
    """
    unlike = (Atoms(1, 1, 0), Atoms(1, 0, 1), Atoms(0, 1, 1))
    return any(atoms.without(one) in unlike for one in unlike)


def read(folded: str) -> Number | None:
    """A name, folded as by `names.fold`, taken apart; None where it is no number, or its bonds do not come out.

    Example: `read("31")` is one carbon with two hydrogen, one fluorine, one chlorine; `read("144")` is None.
    """
    found = _NUMBER.fullmatch(folded)
    if found is None or int(found["digits"]) in BLENDS:
        return None
    double, carbon, hydrogen, fluorine = (int(digit) for digit in found["digits"].zfill(4))
    bonds = 2 * (carbon + 2) - 2 * (double + (found["kind"] == "C"))
    atoms = Atoms(hydrogen - 1, fluorine, bonds - (hydrogen - 1) - fluorine)
    heavy = int(found["other"][1]) if found["other"] else 0
    if not atoms.possible or atoms.chlorine < heavy or (found["other"] and not heavy):
        return None
    return Number(found["kind"], carbon + 1, double, atoms, found["letters"])


def names_a_substance(folded: str) -> bool:
    """Whether this name is one that the numbering gives, isomer and all.

    >>> tried = ("31", "134", "134B", "143", "12B1", "144", "225CA", "245", "1132A")
    >>> [name for name in tried if names_a_substance(name)]
    ['31', '134', '143', '12B1', '225CA', '1132A']
    """
    found = read(folded)
    return found is not None and found.whole


def leaves_isomer_open(folded: str) -> bool:
    """Whether the number is one of three carbons or more whose letters are missing.

    >>> [name for name in ("245", "1234", "1336", "218", "299", "134") if leaves_isomer_open(name)]
    ['245', '1234', '1336']
    """
    found = read(folded)
    return found is not None and not found.letters and not found.whole
