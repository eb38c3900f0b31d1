"""The whole refrigeration cycle: fitted to the readings, and its picture."""
