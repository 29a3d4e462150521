"""Computations of the trade: pure functions over plain SI numbers."""
