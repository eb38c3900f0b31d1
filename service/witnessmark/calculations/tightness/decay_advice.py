"""What would settle a vacuum that cannot be told: how long to hold, how often to read, with what gauge.

On simulated good circuits in which an allowed leak shows, 6 to 9 readings settle 3 of 10, 20 and more 8 of 10; holds
below an hour 5 of 10, longer ones 8 of 10 (docs/VERDICTS.md).
"""

from __future__ import annotations

from witnessmark.calculations.tightness.evacuation import DecayVerdict

ENOUGH_READINGS = 20
LEAST_HOLD = 3600.0
"""s."""


HIDDEN = (
    "A shorter hold shows nothing of the leak: steps and scatter of the gauge and the warmth of the gas hide an "
    "allowed leak of this volume. Finer steps, and a circuit out of the sun, shorten it."
)
LEVELS = "By then what oil and metal give off has levelled, and only a leak climbs on."
OFTEN = f"Take {ENOUGH_READINGS} readings or more in it."


def what_decides(found: DecayVerdict) -> tuple[str, ...]:
    """In words; nothing where the verdict does not wait for a bound on the leak.

    Where an allowed leak hides in the gauge or the warmth of the gas, no shorter hold than `least_hold` will do; where
    it does not, oil and metal still give off gas, and twice the hold tells that from a leak.
    """
    if found.verdict not in ("cannot tell", "hold too short") or found.climb.standing == "within":
        return ()
    held = found.hold.value.value
    hidden = found.least_hold > held
    longer = max(LEAST_HOLD, found.least_hold if hidden else 2 * held) / 3600
    often = () if found.count >= ENOUGH_READINGS else (OFTEN,)
    return (f"What would decide on the leak: a hold of {longer:.2g} h or longer.", HIDDEN if hidden else LEVELS, *often)
