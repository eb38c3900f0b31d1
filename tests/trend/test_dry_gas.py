"""The polynomial against the equation of state it was fitted to, at points that were not fitted."""

import numpy as np
import pytest

from witnessmark.refrigerants import saturation, states
from witnessmark.trend.dry_gas import dry_gas


@pytest.mark.parametrize("refrigerant", ["R-410A", "R-134a", "R-404A", "R-448A", "R-717"])
@pytest.mark.parametrize(
    ("evaporating", "lift", "superheat"), [(263.3, 41.0, 5.0), (278.9, 33.0, 12.0), (241.0, 66.0, 25.0)]
)
def test_isentropic_rise(refrigerant: str, evaporating: float, lift: float, superheat: float) -> None:
    low, high = (float(saturation.dew_pressure(refrigerant, t)) for t in (evaporating, evaporating + lift))
    gas = states.gas(refrigerant, low, evaporating + superheat)
    wanted = states.at_entropy(refrigerant, high, gas.entropy).temperature - gas.temperature
    column = [np.array([value]) for value in (evaporating, evaporating + lift, superheat, high / low)]
    one, two, three, four = column
    assert dry_gas(refrigerant).rise(one, two, three, four)[0] == pytest.approx(wanted, abs=1.0)
    assert dry_gas(refrigerant).miss < 0.5


def test_wet_gas_counts_as_gas_at_its_dew_point() -> None:
    low, high = np.array([278.15]), np.array([318.15])
    ratio = np.array([2.92])
    wet, dry = (dry_gas("R-410A").rise(low, high, np.array([superheat]), ratio)[0] for superheat in (-4.0, 0.0))
    assert wet == dry
