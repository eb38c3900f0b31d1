"""Parts that broke and what findings tell of them, as signs of the cleanup, findings and places to look.

What is loose is never taken back: who told of a broken part anywhere has told of fragments.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from witnessmark import data
from witnessmark.casework.document import Json, at
from witnessmark.cleanup.debris_rules import DEBRIS, END

BURNT = "winding-burnt-pattern-unknown"
FINDINGS_OF_SIGNS = {
    ("acid_test", "positive"): "acid-test-positive",
    ("burn", "spot"): "spot-burn-in-winding",
    ("burn", "winding"): BURNT,
    ("debris", "metal-fines"): "metal-fines-in-oil",
    ("debris", "carbonised-oil"): "oil-burnt",
    ("debris", "copper-plating"): "copper-plating",
    ("debris", "desiccant-dust"): "desiccant-found",
    ("deposits", "sludge-in-discharge-line"): "sludge-in-lines",
    ("deposits", "sludge-in-suction-line"): "sludge-in-lines",
}
"""By sign and its value the finding that says the same."""

BROKEN = (
    "wraps-shattered",
    "wrap-edge-chipped",
    "coupling-keys-broken",
    "reed-broken",
    "rod-or-crank-broken",
    "vane-broken",
    "earlier-fragments-found",
)
"""Findings of a part that has lost pieces, or of pieces themselves."""
SIGNS_OF_FINDINGS: dict[str, tuple[str, str]] = {
    **dict.fromkeys(BROKEN, ("debris", "metal-fragments")),
    "metal-fines-in-oil": ("debris", "metal-fines"),
    "magnet-full": ("debris", "metal-fines"),
    "desiccant-found": ("debris", "desiccant-dust"),
    "copper-plating": ("debris", "copper-plating"),
    "oil-burnt": ("debris", "carbonised-oil"),
    "acid-test-positive": ("acid_test", "positive"),
    "spot-burn-in-winding": ("burn", "spot"),
    "terminal-burnt": ("burn", "spot"),
    "windings-burnt-evenly": ("burn", "winding"),
    "windings-one-or-two-phases-burnt": ("burn", "winding"),
    "start-winding-burnt": ("burn", "winding"),
    BURNT: ("burn", "winding"),
}
"""By finding the sign, and its value, that says the same."""


def broken(seen: Mapping[str, Any]) -> bool:
    """Whether the document tells of a part that broke, whatever its signs say."""
    told = bool(at(seen, "breakage.parts") or at(seen, "breakage.fragments"))
    return told or any(r["finding"] in BROKEN and r["state"] == "present" for r in seen.get("findings") or ())


def with_told_signs(seen: Json) -> tuple[Json, tuple[str, ...]]:
    """The view in which what findings and broken parts tell is a sign too: loose solids are never taken back."""
    signs = dict(seen.get("signs") or {})
    told = [SIGNS_OF_FINDINGS.get(r["finding"]) for r in seen.get("findings") or () if r["state"] == "present"]
    told += [("debris", "metal-fragments")] if broken(seen) else []
    for sign, value in dict.fromkeys(filter(None, told)):
        if sign == "debris":
            signs[sign] = list(dict.fromkeys((*(signs.get(sign) or ()), value)))
        else:
            signs.setdefault(sign, value)
    if signs == (seen.get("signs") or {}):
        return seen, ()
    return {**seen, "signs": signs}, (_SIGNS_TOLD,)


_SIGNS_TOLD = "What findings and broken parts tell of solids, burn and acid counts among the signs of the cleanup."


class PartWords(data.Row):
    """Words in the name of a part, as a regular expression, and the finding that it broke.

    chipped: the finding instead where it lost less than `chip` of its mass.
    """

    words: str
    finding: str
    chipped: str = ""


class BrokenParts(data.Row):
    """The file. always: places that every circuit has; expansions: of these at least one; chip: share of a mass."""

    part: tuple[PartWords, ...]
    chip: float
    always: tuple[str, ...]
    expansions: tuple[str, ...]


PARTS = data.table(__package__, "broken_parts.toml", BrokenParts)


@cache
def _wordings() -> tuple[tuple[re.Pattern[str], PartWords], ...]:
    return tuple((re.compile(row.words), row) for row in PARTS().part)


def with_broken_parts(seen: Json) -> tuple[Json, tuple[str, ...]]:
    """The view in which a part that broke is a finding too, unless the document tells of it itself."""
    told = {report["finding"] for report in seen.get("findings") or ()}
    broke = dict.fromkeys(finding for finding in _broke(seen) if finding not in told)
    if not broke:
        return seen, ()
    shown = [{"finding": finding, "state": "present"} for finding in broke]
    return {**seen, "findings": [*seen.get("findings", ()), *shown]}, (_PARTS_TOLD,)


_PARTS_TOLD = "The parts that broke count as findings too, as far as their names tell."


def _broke(seen: Json) -> Iterator[str]:
    for part in at(seen, "breakage.parts") or ():
        name = str(part["name"]).lower()
        row = next((row for words, row in _wordings() if words.search(name)), None)
        if row is not None:
            yield row.chipped if row.chipped and _chip(part) else row.finding


def _chip(part: Mapping[str, Any]) -> bool:
    """Whether next to nothing of a part is lost; where that is not known it is taken to be much."""
    whole, left = part.get("nominal_mass"), part.get("remains")
    if not (isinstance(whole, Mapping) and isinstance(left, Mapping)) or whole["unit"] != left["unit"]:
        return False
    return float(left["value"]) > (1 - PARTS().chip) * float(whole["value"])


def with_places(seen: Json) -> Json:
    """The view in which fragments are looked for in the parts that the machine is said to have."""
    named = at(seen, "machine.parts")
    if not named or not seen.get("breakage") or at(seen, "breakage.places"):
        return seen
    return {**seen, "breakage": {**seen["breakage"], "places": [{"id": key} for key in _path(set(named))]}}


def _path(named: set[str]) -> Iterator[str]:
    """Places of the parts that are named and of those that no circuit lacks, in order of flow."""
    devices = [key for key in PARTS().expansions if DEBRIS().place[key].part in named] or [PARTS().expansions[0]]
    for key, place in DEBRIS().place.items():
        expands = key in PARTS().expansions
        if key != END and (key in PARTS().always or key in devices or (place.part in named and not expands)):
            yield key
