"""What a refrigerant is and how it behaves; the only place that knows the property library."""
