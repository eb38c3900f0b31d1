"""Where a fragment of a given size stops on its way round the circuit. Data: `debris.toml`.

A place holds a fragment because the fragment is larger than the gap, or because the flow is too slow to lift it. What
stays is a judged share; the rest goes on to the next place.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.cleanup.debris_rules import DEBRIS, Lodging, Place, PlaceLine
from witnessmark.cleanup.particles import Fluid, settling_velocity

SizeOrigin = TypeAliasType("SizeOrigin", Literal["found", "assumed"])
"""Whether a fragment of a size was found, or the size is one of a spread."""


@dataclass(frozen=True, slots=True)
class FragmentSize:
    """Fragments of one size: volume-equivalent diameter, smallest and largest dimension (m), density, weight."""

    diameter: float
    smallest: float
    largest: float
    density: float
    weight: float
    origin: SizeOrigin


@dataclass(frozen=True, slots=True)
class Stream:
    """What flows in one kind of line: density, viscosity band, and mass flow (None where it is not known)."""

    density: float
    viscosities: tuple[float, float]
    mass_flow: float | None

    def velocity(self, bore: float) -> float | None:
        """Mean velocity in a bore, m/s."""
        return None if self.mass_flow is None else self.mass_flow / (self.density * math.pi / 4 * bore**2)


@dataclass(frozen=True, slots=True)
class Passage:
    """How one size meets one place: share of all fragments of that size that stays, why, and the velocities, m/s."""

    place: str
    lodging: Lodging
    stays: float
    velocity: float | None = None
    carry_low: float | None = None
    carry_high: float | None = None


Carry = tuple[float, float]


def follow(size: FragmentSize, places: Sequence[Place], streams: Mapping[PlaceLine, Stream]) -> tuple[Passage, ...]:
    """Follow one size along the places; the shares that stay add up to at most 1."""
    flows = {line: (stream, carry_band(size, stream)) for line, stream in streams.items()}
    travelling, passages = 1.0, []
    for place in places:
        passage = _meet(size, place, flows.get(place.line), travelling)
        travelling -= passage.stays
        passages.append(passage)
    return tuple(passages)


def _meet(size: FragmentSize, place: Place, flow: tuple[Stream, Carry] | None, travelling: float) -> Passage:
    """How a size meets a place; nothing flows inside the shell."""
    stay = DEBRIS().stay
    if flow is None:
        return Passage(place.id, "may settle", travelling * stay.shell)
    stream, carry = flow
    velocity = None if place.bore is None else stream.velocity(place.bore)
    lodging = _lodging(size, place, velocity, carry)
    return Passage(place.id, lodging, travelling * stay.value[lodging], velocity, *carry)


def carry_band(size: FragmentSize, stream: Stream) -> Carry:
    """Velocity that just lifts the fragment, m/s, from flake and thick fluid to round grain and thin fluid.

    >>> grain = FragmentSize(3e-3, smallest=2e-3, largest=5e-3, density=7200.0, weight=1.0, origin="found")
    >>> [round(end, 2) for end in carry_band(grain, Stream(100.0, (10e-6, 16e-6), None))]
    [0.88, 2.39]
    """
    ends = [
        settling_velocity(size.diameter, size.density, Fluid(stream.density, viscosity), sphericity)
        for viscosity in stream.viscosities
        for sphericity in DEBRIS().shape.sphericity
    ]
    return min(ends), max(ends)


def _lodging(size: FragmentSize, place: Place, velocity: float | None, carry: Carry) -> Lodging:
    if place.opening is not None and size.smallest >= place.opening:
        return "cannot pass"
    if velocity is not None and velocity < carry[0]:
        return "not carried"
    if place.opening is not None and size.largest >= place.opening:
        return "may pass lengthwise"
    return "may settle" if velocity is not None and velocity < carry[1] else "passes"
