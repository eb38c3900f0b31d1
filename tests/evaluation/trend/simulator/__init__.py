"""Simulator of refrigeration controllers' logs: one machine, healthy or with one fault, with the truth."""

from .faults import APPLICABLE, FAULTS
from .machines import KINDS
from .simulate import Log, simulate, write_csv

__all__ = ["APPLICABLE", "FAULTS", "KINDS", "Log", "simulate", "write_csv"]
