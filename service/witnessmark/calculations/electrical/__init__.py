"""Supply, windings and insulation."""
