"""The refrigerant circuit: superheat, lines and what stands in them, oil return, gas that does not condense."""
