"""Minute loop of the fixed-speed machines: thermostat, pump-down, defrost, room, saturation temperatures."""

from __future__ import annotations

from math import exp

import numpy as np

from .compiled import stepped
from .drivers import Drivers
from .machines import Spec
from .track import (
    CODE_LP_CYCLE,
    CODE_NO_CUT_OUT,
    CODE_STAT_CYCLE,
    CODE_VALVE_SHUT,
    MODE,
    Track,
    equalised,
)

OFF, COOL, PUMP, DEFROST, DRIP = MODE["off"], MODE["cool"], MODE["pump_down"], MODE["defrost"], MODE["drip"]


class FixedPlant:
    """State of a fixed-speed machine; `run` steps it through all minutes."""

    def __init__(self, spec: Spec, d: Drivers, rng: np.random.Generator) -> None:
        self.s = spec
        self.d = d
        self.mode, self.t, self.lock = OFF, 99, 0
        self.te = spec.te0
        self.tc = float(d.air_cond[0])
        self.tr = spec.setpoint + 0.5 * spec.diff
        self.tp = spec.setpoint
        self.tk = self.tr
        self.frost = 0.1
        self.want = False
        self.melt = 0.025 + 0.02 * float(rng.random())
        self.heat_rate = 1.6 + 1.4 * float(rng.random())
        self.stop_at = 281.0 + 6.0 * float(rng.random())
        self.drip = int(rng.integers(2, 6))
        self.off_defrost = int(rng.integers(20, 36))
        self.leak = (0.002 + 0.02 * float(rng.random()) ** 2) if spec.pump_down else 0.0
        self.pull = 1.0 - exp(-1.0 / (0.5 + 0.7 * float(rng.random())))
        self.q = 0.0
        self.indoor_heat = spec.kind == "rooftop_ac"

    def go(self, mode: int, lock: int = 0) -> None:
        """Enter a mode."""
        self.mode, self.t, self.lock = mode, 0, lock

    def stop(self, lock: int = 0) -> None:
        """End a cooling run by pump-down where fitted, else at once."""
        if self.s.pump_down and lock == 0:
            self.go(PUMP)
        elif self.want:
            self.go(DEFROST)
        else:
            self.go(OFF, max(lock, self.s.min_off))

    def control(self, sp: float, diff: float, code: int) -> None:
        """Thermostat, pressure switches, pump-down and defrost sequence for one minute."""
        s = self.s
        self.t += 1
        mode, t = self.mode, self.t
        if mode == COOL:
            quick = code == CODE_STAT_CYCLE
            if (self.tr <= sp - 0.5 * diff and (t >= s.min_on or quick)) or self.want:
                self.stop()
            elif self.tc > s.tc_hp:
                self.stop(10)
            elif code == CODE_LP_CYCLE and t >= self.d.sc_on:
                self.stop(self.d.sc_off)
            elif self.te < s.te_lp and t > 5 and code != CODE_VALVE_SHUT:
                self.stop(5)
        elif mode == OFF:
            least = 1 if code == CODE_STAT_CYCLE else (self.lock or s.min_off)
            if self.want:
                self.go(DEFROST)
            elif self.tr >= sp + 0.5 * diff and t >= least:
                self.go(COOL)
            elif s.recycle and self.te >= s.te_cut_in and t >= 3:
                self.go(PUMP)
        elif mode == PUMP:
            self.end_pump(sp + 0.5 * diff, code)
        elif mode == DEFROST:
            self.end_defrost()
        elif t >= self.drip:
            self.go(COOL if self.tr > sp else OFF)

    def end_pump(self, call: float, code: int) -> None:
        """Leave pump-down: cut-out reached, backup time over, or a new call for cooling."""
        if code == CODE_NO_CUT_OUT:
            if self.want and self.t > 2:
                self.go(DEFROST)
            elif self.tr >= call:
                self.go(COOL)
        elif self.te <= self.s.te_cut or self.t >= 15:
            self.go(DEFROST if self.want else OFF, self.s.min_off)

    def end_defrost(self) -> None:
        """Terminate defrost by coil temperature or time."""
        self.want = False
        limit = 40 if self.s.electric_defrost else self.off_defrost
        done = self.s.electric_defrost and self.frost <= 0.0 and self.tk >= self.stop_at
        if self.t >= limit or done:
            self.go(DRIP)

    def running(self, i: int, ua_e: float, ua_c: float, starve: float, pump: float, code: int, air: float) -> float:
        """One minute with the compressor on; returns the heat taken from the room [W]."""
        s, te, tc = self.s, self.te, self.tc
        ua = ua_e * (1.0 - 0.3 * self.frost) * (1.0 - 0.85 * starve)
        q = s.q0 * pump * exp(s.slope_te * (te - s.te0)) * max(1.0 - s.slope_tc * (tc - s.tc0), 0.3)
        if self.mode == PUMP or code == CODE_VALVE_SHUT:
            te += self.pull * (self.d.te_floor[i] - te)
            q *= 0.4 if self.t <= 1 else 0.04
            room = 0.5 * q
            self.tk += 0.1 * (self.tr - self.tk)
        else:
            ta = max(self.tk, self.tr)
            target = te + (ua * (ta - te) - q) / (ua + s.slope_te * q + 1e-9)
            if target > s.te_mop:
                target = min(s.te_mop + 0.1 * (target - s.te_mop), target)
            te += 0.6 * (target - te)
            self.tk += 0.35 * (te + 1.0 - self.tk)
            room = ua * (self.tr - self.tk)
            if te < 273.0:
                self.frost = min(self.frost + self.d.frost_rate[i], 1.2)
        work = q * max(tc - te + 8.0, 4.0) / (te * 0.55)
        goal = air + (q + work) / ua_c
        floor = self.d.tc_floor[i]
        if goal < floor and pump > 0.4:
            goal = floor
        tc += 0.5 * (goal - tc)
        if te > tc:
            te = tc = 0.5 * (te + tc)
        te, tc = max(te, s.te_vacuum), min(tc, s.tc_hp + 1.5)
        if pump < 0.3:
            te, tc = equalised(te, tc, self.tr, air, pump)
        self.te, self.tc, self.q = te, tc, q
        return room

    def resting(self, air: float) -> float:
        """One minute with the compressor off; returns the (small) heat taken from the room [W]."""
        s = self.s
        heating = self.mode == DEFROST and s.electric_defrost
        if heating:
            if self.frost > 0.0 and self.tk >= 272.5:
                self.frost -= self.melt
                self.tk += 0.08 * (274.5 - self.tk)
            else:
                self.tk += self.heat_rate
        else:
            self.tk += 0.10 * (self.tr - self.tk)
            if self.tk > 273.6:
                self.frost = max(self.frost - 0.02, 0.0)
        self.q = 0.0
        if s.pump_down:
            self.te += self.leak * (self.tk - self.te)
            self.tc += 0.05 * (air - self.tc)
        elif s.orifice:
            goal = min(self.tk, air + 0.5)
            self.te += 0.45 * (goal - self.te)
            self.tc += 0.45 * (goal - self.tc)
        else:
            self.te += 0.14 * (self.tk - self.te)
            self.tc += 0.05 * (air - self.tc)
        self.te = min(self.te, self.tc)
        return -0.04 * s.q0 if heating else 0.05 * s.ua_e * (self.tr - self.tk)

    def room(self, taken: float, gains: float, ambient: float) -> None:
        """Advance air and product temperatures by one minute."""
        s = self.s
        swap = s.ua_product * (self.tp - self.tr)
        self.tr += 60.0 * (gains + s.ua_wall * (ambient - self.tr) + swap - taken) / s.room_c
        self.tp -= 60.0 * swap / s.product_c
        if self.indoor_heat and self.tr < 293.5:
            self.tr = 293.5

    def step(self, i: int) -> tuple[float, float, float, float, float, float, float]:
        """One minute of the log."""
        d = self.d
        if d.defrost_due[i]:
            self.want = True
        code = int(d.code[i])
        self.control(d.setpoint[i], d.diff[i], code)
        on = self.mode == COOL or self.mode == PUMP
        if on:
            taken = self.running(i, d.ua_e[i], d.ua_c[i], d.starve[i], d.pump[i], code, d.air_cond[i])
        else:
            taken = self.resting(d.air_cond[i])
        self.room(taken, d.gains[i], d.ambient[i])
        return self.te, self.tc, self.tr, self.tk, float(self.mode), 1.0 if on else 0.0, self.q

    def run(self) -> Track:
        """Step through the whole log."""
        return Track.of(stepped(self, len(self.d.gains)))
