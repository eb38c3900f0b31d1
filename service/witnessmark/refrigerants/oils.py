"""Types of oil in use with a refrigerant (oils.toml): trade practice; the maker's own word overrides it."""

from __future__ import annotations

from witnessmark import data
from witnessmark.reference import SourceId
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants.environment import SUBSTANCES, SubstanceClass
from witnessmark.refrigerants.unserved import Bare
from witnessmark.vocabulary import Oil


class Oils(data.Row):
    """The content of oils.toml."""

    source: SourceId
    classes: dict[SubstanceClass, tuple[Oil, ...]]
    known: dict[str, tuple[Oil, ...]]


OILS = data.table(__package__, "oils.toml", Oils)


def oils(designation: str) -> tuple[Oil, ...]:
    """Oil types in use with a refrigerant or a mixture; none where nothing is known (UnknownNameError).

    Example: R-410A, of two hydrofluorocarbons: POE and PVE.
    """
    if isinstance(designation, Bare):
        return ()
    if designation in OILS().known:
        return OILS().known[designation]
    parts = [_of_part(name) for name in catalogue.recipe(designation).components]
    return tuple(oil for oil in parts[0] if all(oil in others for others in parts[1:]))


def _of_part(name: str) -> tuple[Oil, ...]:
    found = OILS()
    return found.known.get(name, found.classes[SUBSTANCES().substance[name].kind])


@data.checked
def oils_fit() -> None:
    """DataError where an oil is stated of a refrigerant that is not there, or a class has no row."""
    odd = [f"oils.toml: {name} is not catalogued" for name in OILS().known if name not in catalogue.designations()]
    kinds = {row.kind for row in SUBSTANCES().substance.values()}
    odd += [f"oils.toml: class {kind} is missing" for kind in sorted(kinds - OILS().classes.keys())]
    if odd:
        raise data.DataError(odd)
