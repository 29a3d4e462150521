"""Printing: from HTML to PDF, with nothing but bytes already held."""
