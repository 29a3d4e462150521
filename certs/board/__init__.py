"""Who holds what, as of any day."""
