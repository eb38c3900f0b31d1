"""The noisy-OR network and its exact posterior."""
