"""Minute loop of the variable-speed heat pump: speed control, oil return, reverse-cycle defrost, seasons."""

from __future__ import annotations

from math import exp

import numpy as np

from .compiled import stepped
from .drivers import Drivers
from .machines import Spec
from .track import (
    CODE_LP_CYCLE,
    CODE_NO_TURN_DOWN,
    CODE_STAT_CYCLE,
    CODE_VALVE_SHUT,
    MODE,
    Track,
    equalised,
)

OFF, COOL, HEAT, DEFROST, OIL = MODE["off"], MODE["cool"], MODE["heat"], MODE["reverse_defrost"], MODE["oil_return"]


class InverterPlant:
    """State of a heat pump; `run` steps it through all minutes."""

    def __init__(self, spec: Spec, d: Drivers, rng: np.random.Generator) -> None:
        self.s, self.d = spec, d
        self.mode, self.t, self.lock = OFF, 99, 0
        self.tr = float(d.setpoint[0])
        self.tp = self.tr
        self.te = self.tc = min(self.tr, float(d.air_cond[0]))
        self.speed = self.integral = self.q = self.frost = 0.0
        self.low = 0
        self.season = int(d.season[0]) or 1
        self.hold = int(rng.integers(2, 5))
        self.start_speed = max(spec.min_speed, 0.25 + 0.15 * float(rng.random()))
        self.ramp = 0.05 + 0.07 * float(rng.random())
        self.defrost_len = 3 + int(rng.integers(0, 5))
        self.oil_len = 3 + int(rng.integers(0, 4))
        self.oil_speed = 0.55 + 0.25 * float(rng.random())
        self.defrost_speed = 0.6 + 0.3 * float(rng.random())
        self.night_oil = float(rng.random()) < 0.5

    def go(self, mode: int, lock: int = 0) -> None:
        """Enter a mode."""
        self.mode, self.t, self.lock = mode, 0, lock

    def control(self, sp: float, diff: float, code: int, season: int) -> None:
        """Thermostat, speed and special sequences for one minute."""
        s = self.s
        self.t += 1
        mode, t = self.mode, self.t
        err = (self.tr - sp) * self.season
        if mode == OFF:
            if season:
                self.season = season
            least = 1 if code == CODE_STAT_CYCLE else max(self.lock, s.min_off)
            if season and err > 0.5 * diff and t >= least:
                self.go(COOL if season > 0 else HEAT)
                self.integral, self.speed = 0.0, self.start_speed
        elif mode == DEFROST or mode == OIL:
            self.special(mode)
        else:
            self.modulate(err, diff, code, season)

    def special(self, mode: int) -> None:
        """Fixed-speed sequences and their ends."""
        length = self.defrost_len if mode == DEFROST else self.oil_len
        goal = self.defrost_speed if mode == DEFROST else self.oil_speed
        self.speed += 0.5 * (goal - self.speed)
        if self.t >= length:
            if mode == DEFROST:
                self.frost = 0.0
            self.low = 0
            self.go(COOL if self.season > 0 else HEAT)
            self.t = self.hold

    def modulate(self, err: float, diff: float, code: int, season: int) -> None:
        """Normal running: speed after the room error, stop below turn-down, call special sequences."""
        s, t = self.s, self.t
        margin = 9.0 if code == CODE_NO_TURN_DOWN else 0.0
        if (err < -0.5 * diff - margin and (t >= s.min_on or code == CODE_STAT_CYCLE)) or season == -self.season:
            return self.halt()
        if self.tc > s.tc_hp or (code == CODE_LP_CYCLE and t >= self.d.sc_on):
            return self.halt(self.d.sc_off if code == CODE_LP_CYCLE else 8)
        if t > self.hold:
            self.integral = min(max(self.integral + 0.004 * err, -0.3), 0.8)
            goal = min(max(0.45 * err + self.integral + 0.25, s.min_speed), 1.0)
            step = goal - self.speed
            self.speed += min(max(step, -self.ramp), self.ramp)
        self.low = self.low + 1 if self.speed < 0.5 else max(self.low - 20, 0)
        if self.low >= s.oil_return_after and code != CODE_STAT_CYCLE:
            self.go(OIL)
        elif self.season < 0 and self.frost >= 1.0 and t > 15:
            self.go(DEFROST)
        return None

    def halt(self, lock: int = 0) -> None:
        """Stop the compressor."""
        self.speed = 0.0
        self.go(OFF, lock)

    def running(self, i: int, ua_e: float, ua_c: float, starve: float, pump: float, code: int, air: float) -> float:
        """One minute with the compressor on; returns the heat taken from the room [W] (negative in heating)."""
        s, te, tc = self.s, self.te, self.tc
        heat = self.season < 0
        reverse = self.mode == DEFROST
        source, sink = (air, self.tr) if heat else (self.tr, air)
        ua = ua_e * (1.0 - 0.85 * starve) * ((1.05 - 0.45 * self.frost) if heat else 0.2 + 0.8 * self.speed)
        q = s.q0 * self.speed * pump * exp(s.slope_te * (te - s.te0)) * max(1.0 - s.slope_tc * (tc - s.tc0), 0.3)
        if code == CODE_VALVE_SHUT:
            te += 0.6 * (self.d.te_floor[i] - te)
            q *= 0.05
        elif reverse:
            te += 0.35 * (263.0 - te)
        else:
            target = te + (ua * (source - te) - q) / (ua + s.slope_te * q + 1e-9)
            te += 0.55 * (min(target, s.te_mop) - te)
        work = q * max(tc - te + 8.0, 4.0) / (te * 0.55)
        goal = 283.0 + 3.0 * self.t if reverse else sink + (q + work) / ua_c
        floor = self.d.tc_floor[i]
        if goal < floor and not reverse and pump > 0.4:
            goal = floor
        tc += 0.45 * (goal - tc)
        te = min(te, tc - 1.0)
        if heat and not reverse and te < 271.5:
            self.frost = min(self.frost + self.d.frost_rate[i] * (1.0 if source > 266.0 else 0.5), 1.3)
        te, tc = max(te, s.te_vacuum), min(tc, s.tc_hp + 1.5)
        if pump < 0.3:
            te, tc = equalised(te, tc, self.tr, air, pump)
        self.te, self.tc, self.q = te, tc, q
        if reverse:
            return 0.3 * q
        return -(q + work) if heat else q

    def resting(self, air: float) -> float:
        """One minute with the compressor off: pressures equalise, then follow the colder side."""
        goal = min(self.tr, air + 0.5)
        self.te += 0.40 * (goal - self.te)
        self.tc += 0.40 * (goal - self.tc)
        self.te = min(self.te, self.tc)
        self.q = 0.0
        return 0.0

    def room(self, taken: float, gains: float, ambient: float) -> None:
        """Advance air and building temperatures by one minute."""
        s = self.s
        swap = s.ua_product * (self.tp - self.tr)
        self.tr += 60.0 * (gains + s.ua_wall * (ambient - self.tr) + swap - taken) / s.room_c
        self.tp -= 60.0 * swap / s.product_c
        self.tr = max(self.tr, 287.0)

    def step(self, i: int) -> tuple[float, float, float, float, float, float, float]:
        """One minute of the log."""
        d = self.d
        code = int(d.code[i])
        self.control(d.setpoint[i], d.diff[i], code, int(d.season[i]))
        on = self.mode != OFF
        if on:
            taken = self.running(i, d.ua_e[i], d.ua_c[i], d.starve[i], d.pump[i], code, d.air_cond[i])
        else:
            taken = self.resting(d.air_cond[i])
        self.room(taken, d.gains[i], d.ambient[i])
        return self.te, self.tc, self.tr, float(self.season), float(self.mode), self.speed if on else 0.0, self.q

    def run(self) -> Track:
        """Step through the whole log."""
        return Track.of(stepped(self, len(self.d.gains)))
