"""Certified surfaces of gas and liquid: enthalpy, entropy and density from data, without the property library."""
