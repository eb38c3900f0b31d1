"""Witnessmark: why a compressor died, and what keeps the next one alive."""

from importlib.metadata import version

__version__ = version("witnessmark")
