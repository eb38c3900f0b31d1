"""Water that liquid refrigerants hold, against rows of the published table that the data file leaves out."""

from __future__ import annotations

import pytest

from witnessmark.calculations.samples.moisture_limit import solubility

# ASHRAE Handbook Refrigeration, table of the solubility of water, ppm by mass, by degF: rows between those of the file.
ROWS: dict[str, dict[float, float]] = {
    "R-11": {90: 140, 70: 90, 50: 55, 30: 34, 10: 20, -10: 11, -30: 6},
    "R-12": {90: 128, 70: 76, 50: 44, 30: 23.3, 10: 11.8, -10: 5.7, -30: 2.5},
    "R-22": {90: 1580, 70: 1140, 50: 830, 30: 573, 10: 384, -10: 244, -30: 152},
    "R-114": {90: 120, 70: 74, 50: 44, 30: 25, 10: 13, -10: 7, -30: 3},
    "R-123": {90: 1000, 70: 770, 50: 560, 30: 400, 10: 270, -10: 180, -30: 110},
    "R-134a": {90: 1500, 70: 1100, 50: 730, 30: 490, 10: 320, -10: 200, -30: 120},
    "R-502": {90: 690, 70: 490, 50: 335, 30: 225, 10: 146, -10: 90, -30: 53},
}


@pytest.mark.parametrize("refrigerant", sorted(ROWS))
def test_rows_between(refrigerant: str) -> None:
    """The table is printed to two or three digits: 5 %; where to whole mg/kg, half of one."""
    for fahrenheit, milligrams in ROWS[refrigerant].items():
        found = 1e6 * solubility(refrigerant, (fahrenheit + 459.67) / 1.8)
        whole = 0.5 if float(milligrams).is_integer() else 0.0
        assert found == pytest.approx(milligrams, rel=0.05, abs=whole)


@pytest.mark.parametrize(("refrigerant", "milligrams"), [("R-22", 1300), ("R-12", 90)])
def test_a_second_source(refrigerant: str, milligrams: float) -> None:
    """A fluorocarbon maker's pocket manual: at 25 degC."""
    assert 1e6 * solubility(refrigerant, 298.15) == pytest.approx(milligrams, rel=0.02)
