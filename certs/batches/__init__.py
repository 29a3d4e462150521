"""Printing many cards at once, in steps that are kept as they are made."""
