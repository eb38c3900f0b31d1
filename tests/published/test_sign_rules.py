"""Which way readings move under a fault, in the knowledge and in print.

Outside: Rossi & Braun 1997, HVAC&R Research 3(1), rules as reproduced in Li & Braun (fixed-orifice rooftop unit). The
table is not shipped; the test reads it where it is present. A `+` (`-`) must not meet the opposite sign in the
knowledge; a finding that the knowledge leaves untouched is neutral, not wrong. At least half the signs must be there.
"""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.case import Case, Machine
from witnessmark.diagnosis.catalogue.knowledge import knowledge

FILE = "sign_rules_rossi_braun_1997.csv"
FOLDER = Path(os.environ.get("WITNESSMARK_DATA", Path(__file__).resolve().parents[3] / "shared" / "data"))
pytestmark = pytest.mark.skipif(not (FOLDER / FILE).is_file(), reason="the sign table is not shipped; not found here")

FAULTS = {
    "refrigerant_leak": "undercharge",
    "compressor_valve_leak": "internal-bypass",
    "liquid_line_restriction": "expansion-starved",
    "condenser_fouling": "condenser-heat-rejection",
    "evaporator_fouling": "low-airflow",
}
RESIDUALS = {
    "T_evap": "suction-pressure",
    "superheat": "suction-superheat",
    "T_cond": "condensing-pressure",
    "subcooling": "subcooling",
}
# printed for a fixed orifice; with a thermostatic valve, which the knowledge assumes, these turn or vanish
FIXED_ORIFICE_ONLY = {
    ("condenser_fouling", "subcooling"),
    ("condenser_fouling", "T_evap"),
    ("evaporator_fouling", "subcooling"),
}


def printed() -> list[tuple[str, str, str]]:
    with (FOLDER / FILE).open(newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return [(row["fault"], residual, row[residual]) for row in rows for residual in RESIDUALS]


def sign(node: str, finding: str) -> float:
    """P(high) less P(low) of a finding when this node, and what it brings about, is there; against the prior."""
    inquiry = inquire(knowledge(), Case(Machine("scroll", "low-side", "fixed-speed")))
    net, figures = inquiry.net, inquiry.net.figures
    active = inquiry.before.probability[0] * 0
    active[net.nodes.index(node)] = 1.0
    for k in range(net.causes, len(net.nodes)):
        active[k] = max(active[k], 1 - (1 - figures.trigger[0, k] * active).prod())
    row = net.index(finding)
    low = 1 - (1 - figures.low[0, row] * active).prod()
    high = 1 - (1 - figures.high[0, row] * active).prod()
    return float(high - low)


@pytest.mark.parametrize(("fault", "residual", "expected"), printed() if (FOLDER / FILE).is_file() else [])
def test_no_sign_is_turned_round(fault: str, residual: str, expected: str) -> None:
    found = sign(FAULTS[fault], RESIDUALS[residual])
    if (fault, residual) in FIXED_ORIFICE_ONLY:
        assert abs(found) < 0.5
    else:
        assert found * (1 if expected == "+" else -1) > -0.05


def test_most_signs_are_there() -> None:
    told = [(sign(FAULTS[f], RESIDUALS[r]) * (1 if s == "+" else -1)) for f, r, s in printed()]
    assert sum(value > 0.05 for value in told) >= len(told) / 2
