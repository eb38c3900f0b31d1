"""How far the reasoning can be trusted: simulation, calibration, described cases. Not in the wheel."""
