"""Ranges that keep nonsense from the calculations, SI; a property curve's own range gives the clear answer."""

PRESSURES = (0.0, 2e7)
"""Absolute, Pa: no circuit of refrigerant stands above 200 bar."""
TEMPERATURES = (123.15, 573.15)
"""K: no circuit of refrigerant is colder than -150 °C or hotter than 300 °C anywhere."""
DIFFERENCES = (0.0, 500.0)
MASS_FLOWS = (1e-7, 1e4)
POWERS = (1.0, 1e8)
DISPLACEMENTS = (1e-8, 1.0)
SPEEDS = (0.01, 5000.0)
VOLUMES = (1e-9, 1e4)
GAUGE, PIPE, HOT, AMBIENT = "pressure-gauge-digital", "pipe-thermometer", "discharge-thermometer", "ambient-thermometer"
"""Instruments whose usual accuracy stands in where a reading came without one."""
