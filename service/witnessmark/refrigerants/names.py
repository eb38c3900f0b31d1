"""What people call refrigerants, and the one designation that it means.

`resolve("hfc 134A")` is R-134a, and so are `134a` and `R134a `: case, blanks, punctuation and the letters before the
number do not count. A name that leaves a letter or an isomer open is answered with the only or the usual one, and said
to be guessed; one that leaves several is refused with the candidates; a real designation that is not served is told
apart from a typing error.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Self

from witnessmark import data
from witnessmark.errors import UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue

LONGEST = 40
"""Characters of a name."""


class Unserved(data.Row):
    """Real designations that are not served, and why."""

    reason: str
    designations: tuple[str, ...]


class Names(data.Row):
    """The content of names.toml."""

    source: SourceId
    prefixes: tuple[str, ...]
    substances: dict[str, str]
    usual: dict[str, str]
    unserved: tuple[Unserved, ...]


NAMES = data.table(__package__, "names.toml", Names)


class Guessed(str):
    """A designation that the name left open in part; `words` say what was taken for granted."""

    __slots__ = ("words",)
    words: str

    def __new__(cls, designation: str, part: str) -> Self:
        """The designation, with the part of it that was guessed."""
        self = super().__new__(cls, designation)
        self.words = f"The refrigerant was taken as {designation}: the name leaves {part} open."
        return self


class NotServedError(UnknownNameError):
    """A name that means no catalogued refrigerant, or several: `fault` says which, `near` are the candidates."""

    def __init__(self, fault: str, near: tuple[str, ...]) -> None:
        super().__init__("refrigerant", "refrigerant", near)
        self.fault = fault

    def __str__(self) -> str:
        """What is wrong, with the candidates."""
        near = f"near: {', '.join(self.near)}" if self.near else "GET /v1/refrigerants lists those served"
        return f"{self.fault}; {near}"


def _open(designation: str) -> str:
    """The part that a name without its end leaves open."""
    return "the isomer" if designation.endswith(")") else "its last letter"


@lru_cache(1024)
def resolve(name: str) -> str:
    """The designation that is meant, a `Guessed` one where something was. NotServedError: several, not served, unknown.

    Example: `resolve("R1234ze")` is R-1234ze(E), guessed; `resolve("r 407")` is refused with R-407A, C, F and H.
    """
    plain = fold(name[:LONGEST])
    if found := _catalogued().get(plain):
        return found
    if usual := _usual().get(plain):
        return Guessed(usual, _open(usual))
    if reason := _unserved().get(plain):
        raise NotServedError(f"a real designation that is not served: {reason}", ())
    lettered = _lettered(plain)
    if len(lettered) == 1:
        return Guessed(lettered[0], _open(lettered[0]))
    if lettered:
        raise NotServedError("it may mean several refrigerants", lettered)
    raise NotServedError("no such refrigerant", catalogue.near(name[:LONGEST]))


def fold(name: str) -> str:
    """A name without case, blanks, punctuation and the letters that stand before the number."""
    plain = "".join(letter for letter in name.upper() if letter.isascii() and letter.isalnum())
    for prefix in sorted(NAMES().prefixes, key=len, reverse=True):
        rest = plain.removeprefix(prefix)
        if rest != plain and (rest[:1].isdecimal() or (rest[:1] in ("E", "C") and rest[1:2].isdecimal())):
            return rest
    return plain


@cache
def _catalogued() -> Mapping[str, str]:
    own = {fold(designation): designation for designation in catalogue.designations()}
    return own | {fold(name): designation for name, designation in NAMES().substances.items()}


@cache
def _usual() -> Mapping[str, str]:
    return {fold(name): designation for name, designation in NAMES().usual.items()}


@cache
def _unserved() -> Mapping[str, str]:
    return {fold(name): row.reason for row in NAMES().unserved for name in row.designations}


def _lettered(plain: str) -> tuple[str, ...]:
    """The catalogued ones whose number this is: `407` has several letters, `1336mzz` two isomers, `1233zd` one."""
    blend = plain.isdecimal() and plain[:1] in ("4", "5") and len(plain) == 3  # noqa: PLR2004 - series 400 and 500
    return tuple(
        name
        for key, name in _catalogued().items()
        if key[:-1] == plain and ((blend and key[-1].isalpha()) or name.endswith(")"))
    )


@data.checked
def names_lead_somewhere() -> None:
    """DataError where a name means a refrigerant that is not catalogued, or a served one is said not to be."""
    served = set(catalogue.designations())
    meant = {*NAMES().substances.values(), *NAMES().usual.values()}
    odd = [f"names.toml: {name} is not catalogued" for name in sorted(meant - served)]
    named = {name for row in NAMES().unserved for name in row.designations}
    odd += [f"names.toml: {name} is catalogued, so it is served" for name in sorted(named & served)]
    if len({fold(name) for name in served}) < len(served):
        odd.append("catalogue: two designations differ by case or punctuation only")
    if odd:
        raise data.DataError(odd)
