"""Where a fragment of a given size stops on its way round the circuit. Data: `debris.toml`.

A place holds a fragment because the fragment is larger than the gap, or because the flow is too slow to lift it. What
stays is a judged share; the rest goes on to the next place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from witnessmark.cleanup.particles import Fluid, settling_velocity
from witnessmark.cleanup.tables import table

LineKind = Literal["shell", "discharge", "liquid", "suction"]
Held = Literal["cannot pass", "may pass lengthwise", "not carried", "may settle", "passes"]


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the way: bore and opening in m; opening None where nothing narrows."""

    id: str
    name: str
    line: LineKind
    bore: float | None
    opening: float | None
    look: str
    source: str


@dataclass(frozen=True, slots=True)
class SizeClass:
    """Fragments of one size: volume-equivalent diameter, smallest and largest dimension (m), density, weight."""

    diameter: float
    smallest: float
    largest: float
    density: float
    weight: float
    origin: Literal["found", "assumed"]


@dataclass(frozen=True, slots=True)
class Stream:
    """What flows in one kind of line: density, viscosity band, and mass flow (None where it is not known)."""

    density: float
    viscosities: tuple[float, float]
    mass_flow: float | None

    def velocity(self, bore: float) -> float | None:
        """Mean velocity in a bore, m/s."""
        return None if self.mass_flow is None else self.mass_flow / (self.density * 0.7853981633974483 * bore**2)


@dataclass(frozen=True, slots=True)
class Passage:
    """How one size meets one place: share of all fragments of that size that stays, why, and the velocities, m/s."""

    place: str
    held: Held
    stays: float
    velocity: float | None
    carry_low: float | None
    carry_high: float | None


def place(key: str, bore: float | None = None, opening: float | None = None) -> Place:
    """The place of that id, with the caller's bore and opening where given; KeyError for no such place."""
    row = table("debris")["place"][key]
    own_bore, own_opening = row.get("bore"), row.get("opening")
    return Place(key, row["name"], row["line"], bore or own_bore, opening or own_opening, row["look"], row["source"])


def usual_path(plant: str) -> tuple[str, ...]:
    """Ids of the places of a plant of that kind, in order of flow."""
    return tuple(table("debris")["paths"][plant])


def place_ids() -> tuple[str, ...]:
    """All ids of places."""
    return tuple(table("debris")["place"])


def walk(size: SizeClass, places: Sequence[Place], streams: Mapping[str, Stream]) -> tuple[Passage, ...]:
    """Follow one size along the places; the shares that stay add up to at most 1."""
    bands = {line: carry_band(size, stream) for line, stream in streams.items()}
    left, found = 1.0, []
    for at in places:
        passage = _meet(size, at, streams, bands, left)
        left -= passage.stays
        found.append(passage)
    return tuple(found)


def _meet(
    size: SizeClass, at: Place, streams: Mapping[str, Stream], bands: Mapping[str, tuple[float, float]], left: float
) -> Passage:
    stay = table("debris")["stay"]
    if at.line == "shell":
        return Passage(at.id, "may settle", left * float(stay["shell"]), None, None, None)
    stream = streams[at.line]
    velocity = None if at.bore is None else stream.velocity(at.bore)
    low, high = bands[at.line]
    held = _held(size, at, velocity, (low, high))
    return Passage(at.id, held, left * float(stay[held]), velocity, low, high)


def carry_band(size: SizeClass, stream: Stream) -> tuple[float, float]:
    """Velocity that just lifts the fragment, from flake and thick fluid to round grain and thin fluid."""
    row = table("debris")["shape"]
    ends = [
        settling_velocity(size.diameter, size.density, Fluid(stream.density, viscosity), sphericity)
        for viscosity in stream.viscosities
        for sphericity in row["sphericity"]
    ]
    return min(ends), max(ends)


def _held(size: SizeClass, at: Place, velocity: float | None, carry: tuple[float, float]) -> Held:
    if at.opening is not None and size.smallest >= at.opening:
        return "cannot pass"
    if velocity is not None and velocity < carry[0]:
        return "not carried"
    if at.opening is not None and size.largest >= at.opening:
        return "may pass lengthwise"
    return "may settle" if velocity is not None and velocity < carry[1] else "passes"
