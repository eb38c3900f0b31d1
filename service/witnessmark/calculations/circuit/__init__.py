"""The refrigerant circuit: superheat, the cycle and its picture, lines, oil return."""
