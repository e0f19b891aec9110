"""What one visit holds: the sheet as typed, its drafts, ticks, and saving."""
