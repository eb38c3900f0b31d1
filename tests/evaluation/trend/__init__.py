"""Simulated logs of machines and their faults: the simulator knows nothing of the searches that it judges."""
