"""Machines: sizes, set points, controls and quirks, drawn at random per seed."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from .weather import CLIMATES, Climate

KINDS: tuple[str, ...] = ("freezer", "cooler", "rooftop_ac", "heat_pump")


@dataclass
class Spec:
    """One machine: temperatures in K, powers in W, conductances in W/K, heat capacities in J/K, times in minutes."""

    kind: str
    refrigerant: str
    climate: Climate
    q0: float
    te0: float
    tc0: float
    ua_e: float
    ua_c: float
    setpoint: float
    diff: float
    tc_floor: float
    room_c: float
    ua_wall: float
    product_c: float
    ua_product: float
    sh_set: float
    sc_nom: float
    line_gain: float
    eta_is: float
    te_mop: float
    te_lp: float
    te_cut: float
    te_cut_in: float
    te_vacuum: float
    tc_hp: float = 338.0
    slope_te: float = 0.033
    slope_tc: float = 0.009
    min_on: int = 3
    min_off: int = 4
    pump_down: bool = False
    recycle: bool = False
    orifice: bool = False
    electric_defrost: bool = False
    defrosts: int = 0
    setback: float = 0.0
    buffer: float = 0.05
    hunt: float = 1.5
    hunt_period: float = 7.0
    volts: float = 400.0
    min_speed: float = 1.0
    indoor_fan: float = 0.0
    oil_return_after: int = 420
    quirks: dict[str, float] = field(default_factory=dict)


REJECTED = {"freezer": 1.55, "cooler": 1.38, "rooftop_ac": 1.28, "heat_pump": 1.28}
"""Heat given off by the condenser as a share of the capacity."""
HOTTEST_CONDENSING = 333.0
"""K: condensers are chosen for the place, so that at its hottest air the machine condenses no hotter."""


def _hottest_air(climate: Climate) -> float:
    """Design air of a place with a sunny roof [K]."""
    return climate.mean + climate.season + 1.25 * climate.diurnal + 2.0 * climate.synoptic + 4.0


def draw_spec(kind: str, rng: np.random.Generator) -> Spec:
    """Draw a machine of the given kind."""
    makers = {"freezer": _freezer, "cooler": _cooler, "rooftop_ac": _rooftop, "heat_pump": _heat_pump}
    spec = makers[kind](rng)
    spec.ua_c = max(spec.ua_c, REJECTED[kind] * spec.q0 / (HOTTEST_CONDENSING - _hottest_air(spec.climate)))
    spec.quirks = {
        "flag_lag": float(rng.random() < 0.15),
        "fan_cycling": float(rng.random() < (0.5 if kind != "heat_pump" else 0.0)),
        "crankcase_a": float(rng.choice([0.0, 0.0, 0.15, 0.3])),
        "sun_on_sensor": float(rng.choice([0.0, 1.5, 4.0])),
        "current_includes_fans": float(rng.random() < 0.4),
        "injection_K": float(rng.uniform(370.0, 380.0)),
        "dirt": float(rng.uniform(0.02, 0.10)),
    }
    return spec


def _uni(rng: np.random.Generator, low: float, high: float) -> float:
    """Shorthand for a uniform draw."""
    return float(rng.uniform(low, high))


def _cut_out(refrigerant: str, te: float) -> float:
    """Pump-down cut-out as a dew temperature [K], kept a little above atmospheric pressure."""
    return max(te, 235.5 if refrigerant == "R-448A" else 229.0)


def _freezer(rng: np.random.Generator) -> Spec:
    """Walk-in freezer, electric defrost, sometimes pump-down."""
    refrigerant = str(rng.choice(["R-448A", "R-404A"]))
    q0 = float(np.exp(rng.uniform(np.log(2.0e3), np.log(14.0e3))))
    setpoint = _uni(rng, 249.0, 255.0)
    td = _uni(rng, 6.0, 8.5)
    te0 = setpoint - td
    pump = bool(rng.random() < 0.6)
    return Spec(
        kind="freezer",
        refrigerant=refrigerant,
        climate=CLIMATES[int(rng.integers(len(CLIMATES)))],
        q0=q0, te0=te0, tc0=313.0, ua_e=q0 / td, ua_c=1.55 * q0 / _uni(rng, 9.0, 13.0),
        setpoint=setpoint, diff=_uni(rng, 1.5, 3.0), tc_floor=_uni(rng, 291.0, 303.0),
        room_c=q0 * _uni(rng, 90.0, 200.0), ua_wall=q0 * 0.0058, product_c=q0 * _uni(rng, 1500.0, 6000.0),
        ua_product=q0 * 0.05, sh_set=_uni(rng, 4.5, 7.0), sc_nom=_uni(rng, 2.0, 5.0), line_gain=_uni(rng, 4.0, 14.0),
        eta_is=_uni(rng, 0.58, 0.68), te_mop=te0 + _uni(rng, 12.0, 18.0), te_lp=te0 - 16.0,
        te_cut=_cut_out(refrigerant, te0 - _uni(rng, 5.0, 9.0)),
        te_cut_in=te0 - 1.0, te_vacuum=te0 - _uni(rng, 24.0, 32.0), pump_down=pump,
        recycle=pump and bool(rng.random() < 0.5),
        electric_defrost=True, defrosts=int(rng.choice([2, 3, 4, 4, 6])), buffer=_uni(rng, 0.15, 0.30),
        hunt=_uni(rng, 0.5, 2.2), hunt_period=_uni(rng, 4.0, 11.0), min_on=int(rng.integers(2, 5)),
        min_off=int(rng.integers(3, 7)), indoor_fan=0.03 * q0,
    )


def _cooler(rng: np.random.Generator) -> Spec:
    """Walk-in cooler, off-cycle defrost, sometimes pump-down."""
    q0 = float(np.exp(rng.uniform(np.log(1.5e3), np.log(12.0e3))))
    setpoint = _uni(rng, 274.6, 279.0)
    td = _uni(rng, 7.0, 10.0)
    te0 = setpoint - td
    pump = bool(rng.random() < 0.6)
    return Spec(
        kind="cooler",
        refrigerant="R-134a",
        climate=CLIMATES[int(rng.integers(len(CLIMATES)))],
        q0=q0, te0=te0, tc0=313.0, ua_e=q0 / td, ua_c=1.38 * q0 / _uni(rng, 9.0, 13.0),
        setpoint=setpoint, diff=_uni(rng, 1.2, 2.5), tc_floor=_uni(rng, 293.0, 305.0),
        room_c=q0 * _uni(rng, 90.0, 200.0), ua_wall=q0 * 0.011, product_c=q0 * _uni(rng, 1500.0, 6000.0),
        ua_product=q0 * 0.05, sh_set=_uni(rng, 4.5, 7.0), sc_nom=_uni(rng, 2.0, 5.0), line_gain=_uni(rng, 3.0, 9.0),
        eta_is=_uni(rng, 0.60, 0.70), te_mop=te0 + _uni(rng, 12.0, 18.0), te_lp=te0 - 17.0,
        te_cut=te0 - _uni(rng, 9.0, 13.0),
        te_cut_in=te0 - 1.0, te_vacuum=te0 - _uni(rng, 34.0, 42.0), pump_down=pump,
        recycle=pump and bool(rng.random() < 0.5),
        defrosts=int(rng.choice([2, 3, 4])), buffer=_uni(rng, 0.15, 0.30), hunt=_uni(rng, 0.5, 2.2),
        hunt_period=_uni(rng, 4.0, 11.0), min_on=int(rng.integers(2, 5)), min_off=int(rng.integers(3, 7)),
        indoor_fan=0.03 * q0, setback=float(rng.choice([0.0, 0.0, 1.0])),
    )


def _rooftop(rng: np.random.Generator) -> Spec:
    """Single-speed rooftop air conditioner."""
    q0 = float(np.exp(rng.uniform(np.log(9.0e3), np.log(45.0e3))))
    td = _uni(rng, 14.0, 17.5)
    orifice = bool(rng.random() < 0.4)
    setpoint = _uni(rng, 295.0, 298.0)
    return Spec(
        kind="rooftop_ac",
        refrigerant="R-410A",
        climate=CLIMATES[int(rng.integers(len(CLIMATES)))],
        q0=q0, te0=setpoint - td, tc0=318.0, ua_e=q0 / td, ua_c=1.28 * q0 / _uni(rng, 10.0, 14.0),
        setpoint=setpoint, diff=_uni(rng, 0.9, 1.6), tc_floor=_uni(rng, 296.0, 303.0),
        room_c=q0 * _uni(rng, 350.0, 700.0), ua_wall=q0 * _uni(rng, 0.022, 0.032),
        product_c=q0 * _uni(rng, 3000.0, 9000.0),
        ua_product=q0 * 0.25, sh_set=_uni(rng, 5.0, 9.0), sc_nom=_uni(rng, 5.0, 8.0), line_gain=_uni(rng, 1.0, 3.0),
        eta_is=_uni(rng, 0.64, 0.73), te_mop=290.0, te_lp=250.0, te_cut=245.0, te_cut_in=270.0,
        te_vacuum=_uni(rng, 212.0, 224.0), orifice=orifice, buffer=_uni(rng, 0.03, 0.07), hunt=_uni(rng, 0.3, 1.6),
        hunt_period=_uni(rng, 4.0, 9.0), min_on=int(rng.integers(3, 6)), min_off=int(rng.integers(4, 7)),
        indoor_fan=0.04 * q0, setback=float(rng.choice([0.0, 2.0, 3.5])), tc_hp=340.0,
    )


def _heat_pump(rng: np.random.Generator) -> Spec:
    """Inverter outdoor unit with accumulator, cooling and heating."""
    q0 = float(np.exp(rng.uniform(np.log(10.0e3), np.log(50.0e3))))
    setpoint = _uni(rng, 296.0, 298.0)
    return Spec(
        kind="heat_pump",
        refrigerant="R-410A",
        climate=CLIMATES[int(rng.integers(len(CLIMATES)))],
        q0=q0, te0=280.0, tc0=318.0, ua_e=q0 / _uni(rng, 11.0, 15.0), ua_c=1.28 * q0 / _uni(rng, 10.0, 14.0),
        setpoint=setpoint, diff=_uni(rng, 1.0, 1.8), tc_floor=_uni(rng, 297.0, 303.0),
        room_c=q0 * _uni(rng, 350.0, 700.0), ua_wall=q0 * _uni(rng, 0.018, 0.026),
        product_c=q0 * _uni(rng, 3000.0, 9000.0),
        ua_product=q0 * 0.25, sh_set=_uni(rng, 3.0, 6.0), sc_nom=_uni(rng, 5.0, 9.0), line_gain=_uni(rng, 0.5, 2.5),
        eta_is=_uni(rng, 0.66, 0.75), te_mop=291.0, te_lp=228.0, te_cut=225.0, te_cut_in=270.0,
        te_vacuum=_uni(rng, 212.0, 222.0), buffer=_uni(rng, 0.06, 0.14), hunt=_uni(rng, 0.4, 1.5),
        hunt_period=_uni(rng, 3.0, 8.0), min_on=int(rng.integers(5, 10)), min_off=int(rng.integers(3, 7)),
        setback=float(rng.choice([0.0, 2.0, 3.0])), min_speed=_uni(rng, 0.18, 0.30), tc_hp=338.0,
        oil_return_after=int(rng.integers(240, 540)),
    )
