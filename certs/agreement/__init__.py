"""Practicals marked by a second assessor, blind, and how far the two agree."""
