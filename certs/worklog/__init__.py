"""Bonds made since the card: the evidence on which a supervisor confirms the work."""
