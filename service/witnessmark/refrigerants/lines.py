"""The saturation curves of any refrigerant: shipped, of a mixture traced off line, or traced when first asked for."""

from __future__ import annotations

from witnessmark.refrigerants import compositions, curves, on_demand, stored
from witnessmark.refrigerants.curves import Curves
from witnessmark.refrigerants.unserved import refuse_bare


def load(designation: str) -> Curves:
    """The curves of a catalogued refrigerant or of a mixture's text. InputError (field `refrigerant`): not proven."""
    refuse_bare(designation)
    components = None if designation in curves.CURVES else compositions.parse(designation)
    if components is None:
        return curves.load(designation)
    return stored.find(components) or on_demand.trace(components)
