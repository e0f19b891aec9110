"""The charts: the map of a bath, a titration curve, the record over time."""
