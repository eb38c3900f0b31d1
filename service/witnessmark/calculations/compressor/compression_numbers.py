"""The numbers that follow from exact readings at a compressor; `compression` carries their uncertainty through.

SI throughout, as there: Pa absolute, K, kg/s, W, m³ per revolution, revolutions per second.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from witnessmark.calculations.compressor import performance_map
from witnessmark.calculations.compressor.compression_gas import Gas, Suction
from witnessmark.calculations.compressor.performance_map import PerformanceMap, SuctionPoint
from witnessmark.errors import InputError, located

Values = Mapping[str, Any]
"""Numbers, or with `GasColumns` columns of them; then what is asked of a number holds for the rows that stay plain."""
IMPOSSIBLE_EFFICIENCY = 1.2
"""Beyond this no reading error makes an efficiency of it: the gas was wet, and what rests on its enthalpy is void."""
EFFICIENCY = "isentropic_efficiency"


def derive(gas: Gas, values: Values, maps: tuple[PerformanceMap, ...] = ()) -> dict[str, Any]:
    """Every derived number at exact readings; keys are fields of CompressionNumbers.

    values: names of CompressorReadings, and `_basis` (K added to saturation temperatures), `_efficiency`, `_loss`,
    `_map` (a factor on the maps). Without `_efficiency` temperatures tell none: oil or injection cools the gas.
    Errors: InputError where the shared error of both pressures leaves nothing of the suction pressure.

    >>> exact = {"suction_pressure": 0.2e6, "discharge_pressure": 1e6, "_basis": 0.0}
    >>> round(derive(Gas("R-134a"), exact)["discharge_bubble_temperature"], 2)
    312.54
    """
    values = _moved(gas, values)
    out = _pressures(gas, values)
    if "suction_temperature" in values and "suction_dew_temperature" in out:
        suction = gas.suction(values["suction_pressure"], values["suction_temperature"])
        out |= _compressed(gas, values, suction)
        out |= _flows(values, suction, out)
    if maps:
        out |= _mapped(gas.designation, values, out, maps)
    return {name: value for name, value in out.items() if not name.startswith("_")}


def efficiency_alone(gas: Gas, values: Values) -> dict[str, Any]:
    """The isentropic efficiency as `derive` has it, without what else the readings tell; empty where there is none.

    Errors: as `derive`.

    >>> read = {"suction_pressure": 0.2e6, "discharge_pressure": 1e6, "_basis": 0.0}
    >>> read |= {"suction_temperature": 273.15, "discharge_temperature": 338.15}
    >>> round(efficiency_alone(Gas("R-134a"), read)["isentropic_efficiency"], 3)
    0.775
    """
    v = _moved(gas, values)
    told = _pressures(gas, v)
    if not {"suction_temperature", "discharge_temperature"} <= v.keys() or "suction_dew_temperature" not in told:
        return {}
    suction = gas.suction(v["suction_pressure"], v["suction_temperature"])
    ideal = _ideal(gas, v["discharge_pressure"], suction)
    found = _measured(gas, v, suction, ideal) if ideal else {}
    return {EFFICIENCY: found[EFFICIENCY]} if EFFICIENCY in found else {}


def _moved(gas: Gas, values: Values) -> Values:
    """The readings with the error that both pressures share."""
    shared = values.get("air", 0.0)
    ends_moved = {name: gas.moved(values[name], shared) for name in ("suction_pressure", "discharge_pressure")}
    if not gas.left(ends_moved["suction_pressure"]):
        raise InputError("suction_pressure", "nothing is left of it within its uncertainty", "a positive value")
    return {**values, **ends_moved}


def _pressures(gas: Gas, v: Values) -> dict[str, Any]:
    p1, p2 = v["suction_pressure"], v["discharge_pressure"]
    out = {}
    if gas.known("dew", p1, low_side=True):  # below, in deep vacuum, no curve is known
        out["suction_dew_temperature"] = gas.saturated("dew", p1, "suction_pressure") + v["_basis"]
    if gas.known("dew", p2):
        out["discharge_dew_temperature"] = gas.saturated("dew", p2, "discharge_pressure") + v["_basis"]
        out["discharge_bubble_temperature"] = gas.saturated("bubble", p2, "discharge_pressure") + v["_basis"]
    out |= {"pressure_ratio": p2 / p1, "pressure_difference": p2 - p1}
    if "suction_temperature" in v and "suction_dew_temperature" in out:
        out["suction_superheat"] = v["suction_temperature"] - out["suction_dew_temperature"]
        if gas.known("bubble", p1, low_side=True):
            bubble = gas.saturated("bubble", p1, "suction_pressure") + v["_basis"]
            out["suction_above_bubble"] = v["suction_temperature"] - bubble
    if "discharge_temperature" in v and "discharge_dew_temperature" in out:
        out["discharge_superheat"] = v["discharge_temperature"] - out["discharge_dew_temperature"]
    return out


def _compressed(gas: Gas, v: Values, suction: Suction) -> dict[str, Any]:
    """Ideal and expected discharge temperature, and what the measured one says; nothing without a pressure rise."""
    pressure = v["discharge_pressure"]
    out = _ideal(gas, pressure, suction)
    if not out or "_efficiency" not in v:
        return out
    warmer = suction.enthalpy + out["_work"] * (1 - v["_loss"]) / v["_efficiency"]
    if (expected := gas.expected(pressure, warmer)) is not None:
        out["expected_discharge_temperature"] = expected
    return out | _measured(gas, v, suction, out)


def _ideal(gas: Gas, pressure: Any, suction: Suction) -> dict[str, Any]:
    if not gas.compresses(suction, pressure):
        return {}
    ideal = gas.ideal(pressure, suction)
    return {"isentropic_discharge_temperature": ideal.temperature, "_work": ideal.enthalpy - suction.enthalpy}


def _measured(gas: Gas, v: Values, suction: Suction, ideal: Values) -> dict[str, Any]:
    if "discharge_temperature" not in v:
        return {}
    measured = v["discharge_temperature"]
    out = {"discharge_above_isentropic": measured - ideal["isentropic_discharge_temperature"]}
    if "expected_discharge_temperature" in ideal:
        out["discharge_above_expected"] = measured - ideal["expected_discharge_temperature"]
    actual = gas.actual(v["discharge_pressure"], measured)
    rise = None if actual is None else gas.heated(actual - suction.enthalpy, ideal["_work"], IMPOSSIBLE_EFFICIENCY)
    if rise is not None:
        out |= {"_rise": rise, "isentropic_efficiency": ideal["_work"] / rise}
    return out


def _flows(v: Values, suction: Suction, derived: Values) -> dict[str, Any]:
    out: dict[str, Any] = {}
    if "power" in v and "_rise" in derived:
        out["estimated_mass_flow"] = v["power"] * (1 - v["_loss"]) / derived["_rise"]
    flow = v.get("mass_flow", out.get("estimated_mass_flow"))
    if flow is not None and {"displacement", "speed"} <= v.keys():
        out["volumetric_efficiency"] = flow / (suction.density * v["displacement"] * v["speed"])
    if {"mass_flow", "power"} <= v.keys() and "_work" in derived:
        out["power_efficiency"] = v["mass_flow"] * derived["_work"] / v["power"]
        if "_rise" in derived:
            out["shell_loss"] = 1 - v["mass_flow"] * derived["_rise"] / v["power"]
    return out


def _mapped(designation: str, v: Values, derived: Values, maps: tuple[PerformanceMap, ...]) -> dict[str, Any]:
    """What the maker's maps give at this point, and the measured share of it; not beyond the critical pressure."""
    if not {"discharge_dew_temperature", "suction_dew_temperature"} <= derived.keys():
        return {}
    out: dict[str, Any] = {}
    for k, published in enumerate(maps):
        with located(coefficients=f"maps.{k}.coefficients"):
            value = _map_value(designation, v, derived, published)
        out[f"map_{published.quantity}"] = value
        if published.quantity in v and value > 0:
            out[f"{published.quantity}_share"] = v[published.quantity] / value
    return out


def _map_value(designation: str, v: Values, derived: Values, published: PerformanceMap) -> Any:
    evaporating, condensing = derived["suction_dew_temperature"], derived["discharge_dew_temperature"]
    value = performance_map.evaluate(published, evaporating, condensing) * v["_map"]
    if "suction_temperature" not in v or v["discharge_pressure"] <= v["suction_pressure"]:
        return value
    point = SuctionPoint(v["suction_pressure"], v["discharge_pressure"], v["suction_temperature"], evaporating)
    return value * (performance_map.superheat_factor(published, designation, point) or 1.0)
