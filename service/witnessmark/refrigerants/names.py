"""What people call refrigerants, and the one designation that it means.

`resolve("hfc 134A")` is R-134a, and so are `134a` and `R134a `: case, blanks, punctuation and the letters before the
number do not count. A name that leaves a letter or an isomer open is answered with the only or the usual one, and said
to be guessed; one that leaves several is refused with the candidates, served or not; a real designation that is not
served, be it listed (names.toml) or one that the numbering of the standard gives (`numbering`), is told apart from a
typing error.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from itertools import combinations
from typing import Literal
from unicodedata import normalize

from witnessmark import data
from witnessmark.errors import UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue, compositions, library, numbering, slips, wording
from witnessmark.refrigerants.environment import SubstanceClass, environment
from witnessmark.refrigerants.told_mixtures import Given, Mixed
from witnessmark.refrigerants.unserved import Bare, Guessed

LONGEST = 160
"""Characters of a name; six components with their shares take up to 130."""
LONGEST_NAME = 60
"""Characters of one name that are looked at."""
MOST_COMPONENTS = 6
SUM_TOLERANCE = 2e-3
"""How far shares may sum up beside one: what was written in per cent or rounded."""
EXACT_TOTAL = 1e-9
"""How far they may for nothing to be said of it: the rounding of a sum."""
SMALLEST_SHARE = 1e-5
SAME_SHARE = 5e-4
"""By mass, how far a share may lie from that of a catalogued blend: half a unit of its last digit."""
Basis = Literal["mass", "mole"]
_MIXTURE = re.compile(
    r"\s*(?P<names>[^()/]+(?:\([EZez]\))?(?:/[^()/]+(?:\([EZez]\))?)+)\s*\((?P<shares>[\d./ %]+)\)\s*"
)


class Unserved(data.Row):
    """Real designations that are not served, and why."""

    reason: str
    designations: tuple[str, ...]


class Names(data.Row):
    """The content of names.toml."""

    source: SourceId
    prefixes: dict[str, tuple[SubstanceClass, ...]]
    look_alike: dict[str, str]
    no_designation: dict[str, str]
    substances: dict[str, str]
    usual: dict[str, str]
    several: dict[str, tuple[str, ...]]
    unserved: tuple[Unserved, ...]
    words: tuple[str, ...]


NAMES = data.table(__package__, "names.toml", Names)


class NotServedError(UnknownNameError):
    """A name that means no catalogued refrigerant, or several: `fault` says which, `near` are the candidates."""

    def __init__(self, fault: str, near: tuple[str, ...]) -> None:
        super().__init__("refrigerant", "refrigerant", near)
        self.fault = fault

    def __str__(self) -> str:
        """What is wrong, with the candidates."""
        near = f"near: {', '.join(self.near)}" if self.near else "GET /v1/refrigerants lists those served"
        return f"{self.fault}; {near}"


class UnservedError(NotServedError):
    """A real designation that is not served; `bare` is what goes on where no property is needed."""

    def __init__(self, designation: str, reason: str, near: tuple[str, ...]) -> None:
        super().__init__(f"{_REAL}: {reason}", near)
        self.bare = Bare(designation, reason)


def _open(designation: str) -> str:
    """The part that a name without its end leaves open."""
    return "its last letter" if catalogue.recipe(designation).kind != "single" else "the isomer"


@lru_cache(1024)
def resolve(name: str) -> str:
    """The designation that is meant, a `Guessed` one where something was. NotServedError: several, not served, unknown.

    Example: `resolve("R1234ze")` is R-1234ze(E), guessed; `resolve("r 407")` is refused with R-407A, C, F and H.
    """
    try:
        return _resolve(name)
    except NotServedError as fault:
        bare = wording.without(name[:LONGEST], NAMES().words)
        if bare != name:
            return resolve(bare)
        if both := wording.two_names(name[:LONGEST_NAME]):
            return _one_of(*both, fault)
        raise


def _one_of(designation: str, other: str, fault: NotServedError) -> str:
    """What a designation means that has a kind or a second name beside it, where they agree; `fault`: else."""
    if other.upper() in NAMES().prefixes:
        return _resolve(f"{other}-{fold(designation)}")
    try:
        meant, second = _resolve(designation), _resolve(other)
    except NotServedError:
        raise fault from None
    if meant != second:
        raise NotServedError("two names that do not mean one refrigerant", (str(meant), str(second)))
    return meant


def _resolve(name: str) -> str:
    """The same of a name with nothing round it."""
    if written := _MIXTURE.fullmatch(name):
        return _written(written["names"], written["shares"])
    name = name[:LONGEST_NAME]
    plain = fold(name)
    if reason := NAMES().no_designation.get(plain):
        raise NotServedError(reason, ())
    if _JOINED.fullmatch(name):
        raise NotServedError(_SHARES, ())
    if _parted(name):
        raise NotServedError(_SHARES if "%" in name else "no such refrigerant: signs part its number", ())
    if found := _catalogued().get(plain):
        return _of_its_kind(name, found)
    if usual := _usual().get(plain) or _only(plain):
        return Guessed(usual, _open(usual))
    raise _refusal(name, plain)


_SHARES = "a mixture is named with its shares in per cent by mass, as `R-32/125 (60/40)`"
_PARTED = re.compile(r"[^\d]*\d[^()]*[^\w\s()=\-\u2010-\u2015\u2212].*\w.*|.*[%+*].*")
"""A number, with a sign in it that is no hyphen: 2.2 is not 22."""
_JOINED = re.compile(r"[\w.\- ]+(?:\([EZez]\))?(?:\s*[/+]\s*[\w.\- ]+(?:\([EZez]\))?)+\s*")
_WORD = re.compile(r"[^\W\d_]{4}")


def _parted(name: str) -> bool:
    """Whether it is such a number; names of substances hold commas by right."""
    return _PARTED.fullmatch(normalize("NFKC", name)) is not None and _WORD.search(name) is None


def _of_its_kind(name: str, designation: str) -> str:
    """The designation, unless the letters before the number say another kind of substance: HC-22 is none."""
    kinds = NAMES().prefixes.get(_prefix(name), ())
    if kinds and fold(name) not in _chemical() and not set(kinds) & set(environment(designation).substance_classes):
        raise NotServedError(f"no {_prefix(name)} has this number", (designation,))
    return designation


def _refusal(name: str, plain: str) -> NotServedError:
    """Why a name is not answered: several candidates, a real one that is not served, or a typing error."""
    if reason := _unserved().get(plain):
        return UnservedError(_listed()[plain], reason, _served(_candidates(plain)))
    if several := _said_of_several().get(plain) or _several(plain):
        return _open_refusal(several)
    if numbering.names_a_substance(plain) or numbering.leaves_isomer_open(plain):
        return UnservedError(f"R-{plain}", _NO_EQUATION, _served(_candidates(plain)))
    if (meant := _catalogued().get(slips.with_digits(plain))) is not None:
        return NotServedError("no such refrigerant: a letter stands where a digit is meant", (meant,))
    if family := slips.family(plain, _designations()):
        return NotServedError(slips.other_end(plain, family), _served(family) or catalogue.near(name))
    close = catalogue.near(name) if any(letter.isdecimal() for letter in plain) else ()
    return NotServedError(slips.beyond(plain, _designations()) or "no such refrigerant", close)


_REAL = "a real designation that is not served"
_NO_EQUATION = "the property library has no equation of state for it"


def _open_refusal(several: Sequence[str]) -> NotServedError:
    """What a name with these candidates is refused with; those that are not served are told by name."""
    served, others = _served(several), [name for name in several if name not in catalogue.designations()]
    if not served:
        reason = dict.fromkeys(_unserved()[fold(name)] for name in others)
        return NotServedError(f"{' or '.join(others)}: {_REAL}: {' or '.join(reason)}", ())
    fault = "it may mean several refrigerants" if len(several) > 1 else "the name leaves the isomer open"
    if others:
        fault += f", among them {' and '.join(others)}, which this service does not know by its properties"
    return NotServedError(fault, served)


def _served(names: Sequence[str]) -> tuple[str, ...]:
    return tuple(name for name in names if name in catalogue.designations())


def _written(names: str, shares: str) -> str:
    """The mixture of a text like `R-32/125/134a (23/25/52)`."""
    try:
        percent = [float(share) for share in shares.replace("%", "").split("/")]
    except ValueError:
        raise NotServedError("the shares of a mixture are numbers in per cent by mass", ()) from None
    parts = names.split("/")
    if len(parts) != len(percent):
        raise NotServedError("a mixture needs one share, in per cent by mass, for each component", ())
    whole = 1.0 if abs(sum(percent) - 1.0) <= SUM_TOLERANCE else 100.0
    return mixture([(part, share / whole) for part, share in zip(parts, percent, strict=True)])


def mixture(parts: Sequence[tuple[str, float]], basis: Basis = "mass") -> str:
    """The designation or the text of what these parts make: substances or blends by name, with their shares.

    Example: `mixture([("R-410A", 0.9), ("R-22", 0.1)])` is `R-22/32/125 (10/45/45)`. A composition that is a
    catalogued one is that refrigerant. NotServedError: unknown parts, shares that are no whole, a pair without a model.
    """
    components = _components(parts, basis)
    total = sum(share for _, share in parts)
    if found := _same(components):
        return with_total(Given(found), total)
    if lacking := [" with ".join(pair) for pair in combinations(components, 2) if not library.has_pair(*pair)]:
        fault = f"the property library has no interaction parameters for {', '.join(lacking)}"
        raise NotServedError(f"a mixture that is not served: {fault}", ())
    return with_total(Mixed(compositions.text(components)), total)


def with_total(designation: str, total: float) -> str:
    """The designation of a composition; where its shares add up to less or more than one, its words say so too.

    >>> with_total(Given("R-410A"), 0.999).words.rpartition(". ")[2]
    'The shares given add up to 99.9 %: each was divided by that.'
    """
    if abs(total - 1.0) <= EXACT_TOTAL or not isinstance(designation, Given | Mixed):
        return designation
    told = type(designation)(designation)
    told.words += f" The shares given add up to {100.0 * total:.5g} %: each was divided by that."
    return told


def mixture_text(parts: Sequence[tuple[str, float]], basis: Basis) -> str:
    """The text of these parts, as `resolve` reads it; `R-32/32 (50/50)` is how a single substance is written."""
    components = _components(parts, basis)
    if len(components) == 1:
        name = next(iter(components))
        return f"{name}/{name} (50/50)"
    return compositions.text(components)


def _components(parts: Sequence[tuple[str, float]], basis: Basis) -> dict[str, float]:
    """Mass fractions of the substances, in the order of the catalogue; traces left out."""
    total = sum(share for _, share in parts)
    if abs(total - 1.0) > SUM_TOLERANCE or min(share for _, share in parts) < 0.0:
        told = f"they add up to {100.0 * total:.4g} %" if total > 0.0 else "they do not"
        raise NotServedError(f"the shares of a mixture must add up to the whole (1, or 100 %): {told}", ())
    weights = [(_part(name), share) for name, share in parts]
    if basis == "mole":
        weights = [(name, share * catalogue.get(name).molar_mass) for name, share in weights]
    components: dict[str, float] = {}
    for name, weight in weights:
        for part, share in catalogue.recipe(name).components.items():
            components[part] = components.get(part, 0.0) + weight * share
    least = SMALLEST_SHARE * sum(components.values())
    order = {name: index for index, name in enumerate(catalogue.designations())}
    kept = {name: components[name] for name in sorted(components, key=lambda n: order[n]) if components[name] >= least}
    if len(kept) > MOST_COMPONENTS:
        raise NotServedError(f"more than {MOST_COMPONENTS} components, blends counted by what they consist of", ())
    return {name: weight / sum(kept.values()) for name, weight in kept.items()}


def _part(name: str) -> str:
    """The designation of one part of a mixture; NotServedError that names the part."""
    try:
        return resolve(name)
    except NotServedError as error:
        raise NotServedError(f"{name.strip()[:LONGEST_NAME]}: {error.fault}", error.near) from None


def _same(components: Mapping[str, float]) -> str | None:
    """The catalogued refrigerant with this composition."""
    for name in catalogue.designations():
        row = catalogue.recipe(name).components
        if row.keys() == components.keys() and all(abs(row[n] - x) < SAME_SHARE for n, x in components.items()):
            return name
    return None


def fold(name: str) -> str:
    """A name without case, accents, blanks, punctuation and the letters that stand before the number.

    >>> fold("hfc 134A"), fold("CO\u2082"), fold("amon\u00edaco")
    ('134A', 'CO2', 'AMONIACO')
    """
    plain = _letters(name)
    return plain.removeprefix(_prefix(name))


def _letters(name: str) -> str:
    """Letters and digits; one that only looks like a Latin one is that, any other foreign one stays, unknown."""
    alike = NAMES().look_alike
    return "".join(alike.get(letter, letter) for letter in normalize("NFKD", name).upper() if letter.isalnum())


def _prefix(name: str) -> str:
    """The letters before the number; none where there are none."""
    plain = _letters(name)
    for prefix in sorted(NAMES().prefixes, key=len, reverse=True):
        rest = plain.removeprefix(prefix)
        if rest != plain and (rest[:1].isdecimal() or (rest[:1] in ("E", "C") and rest[1:2].isdecimal())):
            return prefix
    return ""


@cache
def _catalogued() -> Mapping[str, str]:
    return {**_chemical(), **{fold(designation): designation for designation in catalogue.designations()}}


@cache
def _chemical() -> Mapping[str, str]:
    """Names and formulas of substances."""
    rows = catalogue.designations()
    own = {fold(name): row for row in rows if (name := catalogue.recipe(row).chemical_name)}
    return own | {fold(name): designation for name, designation in NAMES().substances.items()}


@cache
def _usual() -> Mapping[str, str]:
    return {fold(name): designation for name, designation in NAMES().usual.items()}


@cache
def _said_of_several() -> Mapping[str, tuple[str, ...]]:
    return {fold(name): designations for name, designations in NAMES().several.items()}


@cache
def _unserved() -> Mapping[str, str]:
    return {fold(name): row.reason for row in NAMES().unserved for name in row.designations}


@cache
def _listed() -> Mapping[str, str]:
    """The names of those not served as they are listed, by their folded form."""
    return {fold(name): name for row in NAMES().unserved for name in row.designations}


@cache
def _designations() -> Mapping[str, str]:
    """Every real designation of the catalogue and of the list of those not served, by its folded form."""
    named = (name for row in NAMES().unserved for name in row.designations if name.startswith("R-"))
    return {fold(name): name for name in (*catalogue.designations(), *named)}


def _candidates(plain: str) -> tuple[str, ...]:
    """The real designations whose number this is: `407` has several letters, `1336mzz` two isomers, `1233zd` one."""
    if not plain[:1].isdecimal():
        return ()
    blend = plain.isdecimal() and len(plain) == len("400") and plain[0] in "45"
    return tuple(
        name
        for key, name in _designations().items()
        if key.startswith(plain) and (rest := key[len(plain) :]).isalpha() and (not blend or len(rest) == 1)
    )


def _only(plain: str) -> str | None:
    """The one that a number means though its last letter is missing: a blend, or how a double bond is laden."""
    found = _candidates(plain)
    if len(found) != 1 or found[0] not in catalogue.designations():
        return None
    return found[0] if catalogue.recipe(found[0]).kind != "single" or found[0].endswith(")") else None


def _several(plain: str) -> tuple[str, ...]:
    """The candidates of a number without letters; none where it is a substance of its own: `143` is not R-143a."""
    found = _candidates(plain)
    own = numbering.names_a_substance(plain) and not all(name.endswith(")") for name in found)
    return () if own and len(found) < 2 else found  # noqa: PLR2004


@data.checked
def names_lead_somewhere() -> None:
    """DataError where a name means a refrigerant that is not catalogued, or a served one is said not to be."""
    served = set(catalogue.designations())
    meant = {*NAMES().substances.values(), *NAMES().usual.values()}
    told = served | {name for row in NAMES().unserved for name in row.designations}
    odd = [f"names.toml: {name} is not catalogued" for name in sorted(meant - served)]
    several = {name for names in NAMES().several.values() for name in names}
    odd += [f"names.toml: {name} is neither catalogued nor said not to be served" for name in sorted(several - told)]
    named = {name for row in NAMES().unserved for name in row.designations}
    odd += [f"names.toml: {name} is catalogued, so it is served" for name in sorted(named & served)]
    if len({fold(name) for name in served}) < len(served):
        odd.append("catalogue: two designations differ by case or punctuation only")
    if odd:
        raise data.DataError(odd)
