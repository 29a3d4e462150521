"""Composition root: nothing else in the project imports from here."""
