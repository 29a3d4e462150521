"""Procedure modules, their revisions, and who read which."""
