"""The numbers that follow from exact readings at a compressor; `compression` carries their uncertainty through.

SI throughout, as there: Pa absolute, K, kg/s, W, m³ per revolution, revolutions per second.
"""

from __future__ import annotations

from collections.abc import Mapping

from witnessmark.calculations.compressor import compressor_states as ends
from witnessmark.calculations.compressor import performance_map
from witnessmark.calculations.compressor.performance_map import PerformanceMap, SuctionPoint
from witnessmark.errors import InputError, located
from witnessmark.refrigerants import catalogue, saturation, states

Values = Mapping[str, float]
LEAST_COMPRESSION = 1.0001
"""Below this pressure ratio there is no work to speak of, and dividing by it would make numbers of nothing."""
IMPOSSIBLE_EFFICIENCY = 1.2
"""Beyond this no reading error makes an efficiency of it: the gas was wet, and what rests on its enthalpy is void."""
EFFICIENCY = "isentropic_efficiency"


def derive(designation: str, values: Values, maps: tuple[PerformanceMap, ...] = ()) -> dict[str, float]:
    """Every derived number at exact readings; keys are fields of CompressionNumbers.

    values: names of CompressorReadings, and `_basis` (K added to saturation temperatures), `_efficiency`, `_loss`,
    `_map` (a factor on the maps). Without `_efficiency` temperatures tell none: oil or injection cools the gas.
    Errors: InputError where the shared error of both pressures leaves nothing of the suction pressure.

    >>> exact = {"suction_pressure": 0.2e6, "discharge_pressure": 1e6, "_basis": 0.0}
    >>> round(derive("R-134a", exact)["discharge_bubble_temperature"], 2)
    312.54
    """
    values = _moved(values)
    out = _pressures(designation, values)
    if "suction_temperature" in values and "suction_dew_temperature" in out:
        suction = ends.suction_gas(designation, values["suction_pressure"], values["suction_temperature"])
        out |= _compressed(designation, values, suction)
        out |= _flows(values, suction, out)
    out |= _mapped(designation, values, out, maps)
    return {name: value for name, value in out.items() if not name.startswith("_")}


def efficiency_alone(designation: str, values: Values) -> dict[str, float]:
    """The isentropic efficiency as `derive` has it, without what else the readings tell; empty where there is none.

    Errors: as `derive`.

    >>> read = {"suction_pressure": 0.2e6, "discharge_pressure": 1e6, "_basis": 0.0}
    >>> read |= {"suction_temperature": 273.15, "discharge_temperature": 338.15}
    >>> round(efficiency_alone("R-134a", read)["isentropic_efficiency"], 3)
    0.775
    """
    v = _moved(values)
    told = _pressures(designation, v)
    if not {"suction_temperature", "discharge_temperature"} <= v.keys() or "suction_dew_temperature" not in told:
        return {}
    suction = ends.suction_gas(designation, v["suction_pressure"], v["suction_temperature"])
    ideal = _ideal(designation, v["discharge_pressure"], suction)
    found = _measured(designation, v, suction, ideal) if ideal else {}
    return {EFFICIENCY: found[EFFICIENCY]} if EFFICIENCY in found else {}


def _moved(values: Values) -> Values:
    """The readings with the error that both pressures share."""
    shared = values.get("air", 0.0)
    ends_moved = {name: values[name] + shared for name in ("suction_pressure", "discharge_pressure")}
    if not ends_moved["suction_pressure"] > 0:
        raise InputError("suction_pressure", "nothing is left of it within its uncertainty", "a positive value")
    return {**values, **ends_moved}


def _pressures(designation: str, v: Values) -> dict[str, float]:
    p1, p2 = v["suction_pressure"], v["discharge_pressure"]
    out = {}
    if p1 >= saturation.pressure_range(designation, "dew")[0]:  # below, in deep vacuum, no curve is known
        with located(pressure="suction_pressure"):
            out["suction_dew_temperature"] = float(saturation.dew_temperature(designation, p1)) + v["_basis"]
    if p2 < catalogue.get(designation).critical_pressure:
        with located(pressure="discharge_pressure"):
            out["discharge_dew_temperature"] = float(saturation.dew_temperature(designation, p2)) + v["_basis"]
            out["discharge_bubble_temperature"] = float(saturation.bubble_temperature(designation, p2)) + v["_basis"]
    out |= {"pressure_ratio": p2 / p1, "pressure_difference": p2 - p1}
    if "suction_temperature" in v and "suction_dew_temperature" in out:
        out["suction_superheat"] = v["suction_temperature"] - out["suction_dew_temperature"]
        if p1 >= saturation.pressure_range(designation, "bubble")[0]:
            bubble = float(saturation.bubble_temperature(designation, p1)) + v["_basis"]
            out["suction_above_bubble"] = v["suction_temperature"] - bubble
    if "discharge_temperature" in v and "discharge_dew_temperature" in out:
        out["discharge_superheat"] = v["discharge_temperature"] - out["discharge_dew_temperature"]
    return out


def _compressed(designation: str, v: Values, suction: states.State) -> dict[str, float]:
    """Ideal and expected discharge temperature, and what the measured one says; nothing without a pressure rise."""
    pressure = v["discharge_pressure"]
    out = _ideal(designation, pressure, suction)
    if not out or "_efficiency" not in v:
        return out
    warmer = suction.enthalpy + out["_work"] * (1 - v["_loss"]) / v["_efficiency"]
    if (expected := ends.discharge_at(designation, pressure, warmer)) is not None:
        out["expected_discharge_temperature"] = expected.temperature
    return out | _measured(designation, v, suction, out)


def _ideal(designation: str, pressure: float, suction: states.State) -> dict[str, float]:
    if pressure <= suction.pressure * LEAST_COMPRESSION:
        return {}
    ideal = ends.ideal_discharge(designation, pressure, suction)
    return {"isentropic_discharge_temperature": ideal.temperature, "_work": ideal.enthalpy - suction.enthalpy}


def _measured(designation: str, v: Values, suction: states.State, ideal: Values) -> dict[str, float]:
    if "discharge_temperature" not in v:
        return {}
    measured = v["discharge_temperature"]
    out = {"discharge_above_isentropic": measured - ideal["isentropic_discharge_temperature"]}
    if "expected_discharge_temperature" in ideal:
        out["discharge_above_expected"] = measured - ideal["expected_discharge_temperature"]
    actual = ends.discharge_gas(designation, v["discharge_pressure"], measured)
    if actual is not None and (actual.enthalpy - suction.enthalpy) * IMPOSSIBLE_EFFICIENCY > ideal["_work"]:
        rise = actual.enthalpy - suction.enthalpy
        out |= {"_rise": rise, "isentropic_efficiency": ideal["_work"] / rise}
    return out


def _flows(v: Values, suction: states.State, derived: Values) -> dict[str, float]:
    out: dict[str, float] = {}
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


def _mapped(designation: str, v: Values, derived: Values, maps: tuple[PerformanceMap, ...]) -> dict[str, float]:
    """What the maker's maps give at this point, and the measured share of it; not beyond the critical pressure."""
    if not {"discharge_dew_temperature", "suction_dew_temperature"} <= derived.keys():
        return {}
    out: dict[str, float] = {}
    for k, published in enumerate(maps):
        with located(coefficients=f"maps.{k}.coefficients"):
            value = _map_value(designation, v, derived, published)
        out[f"map_{published.quantity}"] = value
        if published.quantity in v and value > 0:
            out[f"{published.quantity}_share"] = v[published.quantity] / value
    return out


def _map_value(designation: str, v: Values, derived: Values, published: PerformanceMap) -> float:
    evaporating, condensing = derived["suction_dew_temperature"], derived["discharge_dew_temperature"]
    value = performance_map.evaluate(published, evaporating, condensing) * v["_map"]
    if "suction_temperature" not in v or v["discharge_pressure"] <= v["suction_pressure"]:
        return value
    point = SuctionPoint(v["suction_pressure"], v["discharge_pressure"], v["suction_temperature"], evaporating)
    return value * (performance_map.superheat_factor(published, designation, point) or 1.0)
