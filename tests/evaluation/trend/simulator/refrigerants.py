"""Saturation and gas properties as small fits (made once with a property library; nothing needed at run time)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Array = np.ndarray


@dataclass(frozen=True)
class Refrigerant:
    """Coefficients of one refrigerant; valid roughly -60..+65 C saturation."""

    name: str
    dew: tuple[float, ...]
    bubble: tuple[float, ...]
    rho_t_p: tuple[float, ...]
    latent: tuple[float, ...]
    liquid_h: tuple[float, ...]
    exponent: tuple[float, ...]
    work_cp: tuple[float, ...]
    cp_vapour: float

    def p_dew(self, t: Array) -> Array:
        """Dew pressure [Pa] at temperature t [K]."""
        return _psat(self.dew, t)

    def p_bubble(self, t: Array) -> Array:
        """Bubble pressure [Pa] at temperature t [K]."""
        return _psat(self.bubble, t)

    def t_bubble(self, t_dew: Array) -> Array:
        """Bubble temperature [K] at the pressure whose dew temperature is t_dew (two Newton steps)."""
        log_p = np.log(self.p_dew(t_dew))
        t = np.asarray(t_dew, float) - 3.0
        for _ in range(3):
            f = np.log(self.p_bubble(t)) - log_p
            slope = (np.log(self.p_bubble(t + 0.5)) - np.log(self.p_bubble(t - 0.5))) / 1.0
            t = t - f / slope
        return np.minimum(t, t_dew)

    def density(self, p: Array, t: Array, t_dew: Array) -> Array:
        """Vapour density [kg/m3] at pressure p, temperature t, with real-gas factor from the dew line."""
        return np.polyval(self.rho_t_p, t_dew - 273.15) * p / t

    def h_latent(self, t: Array) -> Array:
        """Heat of vaporisation [J/kg]."""
        return np.maximum(np.polyval(self.latent, np.asarray(t) - 273.15), 3.0e4)

    def h_liquid(self, t: Array) -> Array:
        """Saturated liquid enthalpy [J/kg] relative to 0 C."""
        return np.polyval(self.liquid_h, np.asarray(t) - 273.15)

    def isentropic(self, t1: Array, p1: Array, p2: Array, t_cond: Array) -> tuple[Array, Array]:
        """Isentropic discharge temperature [K] and specific work [J/kg]."""
        lp = np.log(np.maximum(p2 / p1, 1.0))
        e, c, tc = self.exponent, self.work_cp, (np.asarray(t_cond) - 273.15) / 10.0
        n = np.maximum(e[0] + e[1] * lp + e[2] * tc + e[3] * (t1 - 273.15), 0.06)
        t2 = t1 * np.exp(n * lp)
        cp = np.maximum(c[0] + c[1] * lp + c[2] * tc, 400.0)
        return t2, cp * (t2 - t1)


def _psat(c: tuple[float, ...], t: Array) -> Array:
    """exp(c0 + c1/T + c2/T^2 + c3 ln T + c4 T/100)."""
    x = 1.0 / np.asarray(t, float)
    return np.exp(c[0] + c[1] * x + c[2] * x * x - c[3] * np.log(x) + c[4] * 0.01 / x)


_R134A_SAT = (201.6319305216374, -9065.72617863312, 167566.41061232137, -30.21597283938879, 4.1777430609552555)

REFRIGERANTS: dict[str, Refrigerant] = {
    "R-134a": Refrigerant(
        "R-134a",
        _R134A_SAT,
        _R134A_SAT,
        (8.914368723447238e-09, 3.600612931687145e-07, 1.4614204192956053e-05, 0.01341602827722284),
        (-0.043455359726567, -2.6940697710251555, -691.3096957355643, 198813.60928537842),
        (2.3558864911895725, 1365.3632496999069, -1123.4333113609853),
        (0.11904942174224652, -0.011424946906343606, 0.003635650890339553, -0.00037351326935799816),
        (699.9940429025463, 35.04478979754464, -19.466473002838384),
        870.0,
    ),
    "R-410A": Refrigerant(
        "R-410A",
        (259.12342528753624, -11061.51446058441, 278500.7639931075, -40.00911689800119, 5.741149237526464),
        (230.5218088264602, -9864.605586634289, 228597.46078455486, -35.269834080481225, 5.120386238448786),
        (1.2841430742105324e-08, 8.127014557031682e-07, 2.9906938285917612e-05, 0.010264421167012216),
        (-0.09838180150616185, -8.231150646131281, -1138.393833321601, 222696.73134109803),
        (3.724959867839265, 1586.0662044080698, -835.3492223966438),
        (0.17214137717840525, -0.017835115946115504, 0.004373679798414777, -0.0004329024245046803),
        (624.8984176130766, 60.79704455379265, -20.404320792159172),
        1130.0,
    ),
    "R-404A": Refrigerant(
        "R-404A",
        (220.52879942488008, -9182.710236853358, 181170.58103624356, -33.833306360211196, 5.041756257994301),
        (224.98728515371852, -9546.039396517419, 210474.12005443318, -34.45956294092337, 5.0448986106885165),
        (1.5279618950335933e-08, 1.0098683144791412e-06, 3.9100807673856894e-05, 0.013624891787907855),
        (-0.06906327149553926, -5.860549686425597, -840.1323595575881, 166709.3113821115),
        (3.007796355554255, 1437.3429921555455, -582.886409645358),
        (0.13122615557627787, -0.018551766636934353, 0.00581297733627491, -0.00049918190976908),
        (643.7234640652175, 53.51771300871082, -28.849100910497516),
        880.0,
    ),
    "R-448A": Refrigerant(
        "R-448A",
        (314.7538094462987, -13276.583515050179, 338967.80005409586, -49.311468970311715, 6.988976908712087),
        (93.01045200616798, -4315.078389687382, 2473.3900079043337, -12.343380298148686, 1.9561942110560635),
        (7.142265185745853e-09, 5.443479296464147e-07, 2.9090624262371083e-05, 0.011684666936289903),
        (-0.05162244330466847, -4.9531173584481385, -893.5054227072095, 202115.02437526203),
        (2.661831221609629, 1461.9154636500396, -557.4448120337122),
        (0.14196395423992142, -0.014868466908196987, 0.004306345767405758, -0.00041564712869124034),
        (671.435782623986, 48.46243489052301, -21.504982500986074),
        870.0,
    ),
}
