"""How often a verdict is "cannot tell", and how often it is wrong, on a grid of made machines.

`python -m tests.evaluation.verdict_shares` prints the table.

The states come from CoolProp called directly (compression at an overall isentropic efficiency, 7 % of the work lost
through the shell), not from the service. Every state is asked twice: read exactly, and with errors drawn once from the
limits of common instruments (0.5 % of 6 MPa and of 3.5 MPa, a clamp thermocouple), the same errors in every run.
"""

from __future__ import annotations

import asyncio
import itertools
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import httpx
import numpy as np
from CoolProp.CoolProp import PropsSI

from witnessmark.api.app import app

FLUIDS = {"R-410A": "R410A", "R-22": "R22", "R-134a": "R134a", "R-404A": "R404A"}
EVAPORATING, CONDENSING = (0.0, 10.0), (35.0, 50.0)
SUPERHEATS, QUALITIES, EFFICIENCIES = (3.3, 6.0, 12.0), (0.98, 0.95, 0.90, 0.80), (0.60, 0.68, 0.75)
LOSS = 0.07
LOW_SIDE, HIGH_SIDE, CLAMP = 17.5e3, 30e3, 2.0
"""Limits of error, Pa and K: within these every error is equally likely."""


@dataclass(frozen=True)
class Machine:
    """One state of a running scroll; superheat K, None where liquid comes in (then `quality`); readings SI."""

    fluid: str
    superheat: float | None
    quality: float
    low: float
    high: float
    suction: float
    discharge: float


def machines() -> Iterator[Machine]:
    """Healthy ones by superheat, wet ones by quality."""
    inlets = [(sh, 1.0) for sh in SUPERHEATS] + [(None, x) for x in QUALITIES]
    for name, te, tc, inlet, eta in itertools.product(FLUIDS, EVAPORATING, CONDENSING, inlets, EFFICIENCIES):
        yield _machine(name, te + 273.15, tc + 273.15, inlet, eta)


def _machine(name: str, te: float, tc: float, inlet: tuple[float | None, float], eta: float) -> Machine:
    fluid, (superheat, quality) = FLUIDS[name], inlet
    low, high = PropsSI("P", "T", te, "Q", 1, fluid), PropsSI("P", "T", tc, "Q", 1, fluid)
    at = ("P", low, "T", te + superheat) if superheat is not None else ("P", low, "Q", quality)
    h1, s1, t1 = (PropsSI(key, *at, fluid) for key in "HST")
    work = (PropsSI("H", "P", high, "S", s1, fluid) - h1) / eta
    return Machine(name, superheat, quality, low, high, t1, PropsSI("T", "P", high, "H", h1 + work * (1 - LOSS), fluid))


def request(machine: Machine, error: tuple[float, ...]) -> dict[str, Any]:
    """What a technician would send, the readings off by `error` (suction, discharge pressure, both temperatures)."""
    low, high = (
        {"value": v / 6894.757293 - 14.6959, "unit": "psig"} for v in (machine.low + error[0], machine.high + error[1])
    )
    cold, hot = (
        {"value": v - 273.15, "unit": "degC"} for v in (machine.suction + error[2], machine.discharge + error[3])
    )
    both = {"refrigerant": machine.fluid, "suction_pressure": low, "discharge_pressure": high}
    return both | {"suction_temperature": cold, "discharge_temperature": hot}


async def measure(operations: dict[str, tuple[str, ...]]) -> dict[str, Counter[str]]:
    """Verdicts counted: operation, how read, kind of machine."""
    errors = np.random.default_rng(20_261).uniform(-1, 1, (1000, 4)) * (LOW_SIDE, HIGH_SIDE, CLAMP, CLAMP)
    counts: dict[str, Counter[str]] = {}
    async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://t", timeout=60) as client:
        for k, machine in enumerate(machines()):
            for (label, dropped), drawn in itertools.product(operations.items(), (False, True)):
                body = request(machine, tuple(errors[k]) if drawn else (0.0,) * 4)
                for name in dropped:
                    body.pop(name)
                operation = label.split()[0]
                extra = {"running": True} if operation == "compression" else {}
                if operation == "superheat":
                    body |= {"pressure": body.pop("suction_pressure"), "temperature": body.pop("suction_temperature")}
                response = await client.post(f"/v1/{operation}", json=body | {"compressor": "scroll"} | extra)
                if response.status_code == 422 and operation == "superheat":
                    del body["discharge_pressure"], body["discharge_temperature"]
                    response = await client.post(f"/v1/{operation}", json=body)
                answer = response.json()
                verdict = answer["result"]["verdict"] if "result" in answer else f"refused {response.status_code}"
                kind = f"wet x={machine.quality}" if machine.superheat is None else f"dry {machine.superheat} K"
                row = f"{label} | {'drawn errors' if drawn else 'exact readings'} | {kind}"
                counts.setdefault(row, Counter())[verdict] += 1
    return counts


OPERATIONS = {
    "wet-suction": ("suction_temperature",),
    "wet-suction (suction line read)": (),
    "compression": (),
}


def main() -> None:
    """Print the table."""
    for row, verdicts in sorted(asyncio.run(measure(OPERATIONS)).items()):
        total = sum(verdicts.values())
        print(f"| {row} | {total} | " + ", ".join(f"{v} {n}" for v, n in verdicts.most_common()) + " |")  # noqa: T201


if __name__ == "__main__":
    main()
