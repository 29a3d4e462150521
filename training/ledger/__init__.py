"""Append-only chain of the acts that decide something."""
