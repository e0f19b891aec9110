"""The record of a bath and what follows from it: entries, losses, forecasts, and drafts not yet saved."""
