"""The saturation curves of any refrigerant: shipped with the service, or of a mixture traced when first asked for."""

from __future__ import annotations

from witnessmark.refrigerants import compositions, curves, on_demand
from witnessmark.refrigerants.curves import Curves


def load(designation: str) -> Curves:
    """The curves of a catalogued refrigerant or of a mixture's text. InputError (field `refrigerant`): not proven."""
    components = None if designation in curves.CURVES else compositions.parse(designation)
    return curves.load(designation) if components is None else on_demand.trace(components)
