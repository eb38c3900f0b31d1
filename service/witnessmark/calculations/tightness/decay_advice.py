"""What would settle a vacuum that cannot be told: how long to hold, how often to read, with what gauge.

On simulated good circuits in which an allowed leak shows, 6 to 9 readings settle 3 of 10, 20 and more 8 of 10; holds
below an hour 5 of 10, longer ones 8 of 10 (docs/VERDICTS.md).
"""

from __future__ import annotations

from witnessmark.calculations.tightness.evacuation import DecayVerdict
from witnessmark.calculations.tightness.evacuation_table import TABLE

ENOUGH_READINGS = 20
LEAST_HOLD = 3600.0
"""s."""
OPEN = ("cannot tell", "hold too short")


HIDDEN = (
    "A shorter hold shows nothing of the leak: steps and scatter of the gauge and the warmth of the gas hide an "
    "allowed leak of this volume. Finer steps, and a circuit out of the sun, shorten it."
)
LEVELS = "By then what oil and metal give off has levelled, and only a leak climbs on."
OFTEN = f"Take {ENOUGH_READINGS} readings or more in it."
COMPOUND = (
    "So high a pressure is what a compound or manifold gauge reads of any vacuum: one division of it is thousands of "
    "micron, so it shows neither dryness nor a leak. Read an electronic vacuum gauge (micron, thermistor or Pirani) at "
    "the far end of the circuit, away from the pump."
)
STILL = "It stands still: no leak that shows. But it stands higher than a dry circuit does."
HIGH = "It stands higher than a dry circuit does, whatever the leak may be."
WHY_HIGH = (
    "What holds it there: moisture or refrigerant that comes out of the oil, ice or water at a cold spot, a pump or "
    "hose that pulls no lower, or a dirty gauge."
)
FIND_OUT = (
    "Next: blank off the pump and see how deep it pulls on the gauge alone; clean the gauge, change the pump's oil. "
    "Warm the sump and every cold spot (frost shows it), break the vacuum with dry nitrogen, pull again and hold again."
)
THEN = "Back at the same level: water, or the gauge. Lower each time: it dries. A straight climb on from there: a leak."
COLDER = "Ice or water at a spot colder than the one told could hold this level: look for frost, warm it, hold again."
HOLD_ON = "What it still climbs may bring it above the limit by the end of the hold that is asked: hold on that long."
STUCK = (
    "A gauge that shows one figure so deep sits at its stop, or behind a valve that is shut: let a little dry nitrogen "
    "in and see that it moves."
)


def what_to_do(found: DecayVerdict) -> tuple[str, ...]:
    """What an answer that cannot tell means, and what to do next, in words; nothing where the verdict tells."""
    if found.verdict not in OPEN:
        return ()
    return (*_of_the_level(found), *what_decides(found))


def _of_the_level(found: DecayVerdict) -> tuple[str, ...]:
    reasons = found.reasons
    if "the gauge does not move" in reasons:
        return (STUCK,)
    if found.fit.end.value >= TABLE().gauge.highest:
        return (COMPOUND,)
    if "stands above the limit" in reasons:
        still = "climbs less than an allowed leak" in reasons
        return (STILL if still else HIGH, WHY_HIGH, FIND_OUT, THEN)
    if "water at a colder spot could hold it" in reasons:
        return (COLDER,)
    return (HOLD_ON,) if "may come to stand above the limit" in reasons else ()


def what_decides(found: DecayVerdict) -> tuple[str, ...]:
    """In words; nothing where the verdict does not wait for a bound on the leak.

    Where an allowed leak hides in the gauge or the warmth of the gas, no shorter hold than `least_hold` will do; where
    it does not, oil and metal still give off gas, and twice the hold tells that from a leak.
    """
    if found.verdict not in OPEN or found.climb.standing == "within":
        return ()
    held = found.hold.value.value
    hidden = found.least_hold > held
    longer = max(LEAST_HOLD, found.least_hold if hidden else 2 * held) / 3600
    often = () if found.count >= ENOUGH_READINGS else (OFTEN,)
    return (f"What would decide on the leak: a hold of {longer:.2g} h or longer.", HIDDEN if hidden else LEVELS, *often)
