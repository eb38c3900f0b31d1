"""Printed units of tables."""

PSI = 6894.757293168361
"""Pa: by the international pound and inch (1959) and the standard acceleration."""


def kelvin(fahrenheit: float) -> float:
    """K: one degree Fahrenheit is 5/9 K, and 0 K is -459.67 degF."""
    return (fahrenheit + 459.67) * 5 / 9
