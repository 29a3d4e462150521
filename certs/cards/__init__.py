"""Competency cards: standing, printed card, signed code, public check."""
