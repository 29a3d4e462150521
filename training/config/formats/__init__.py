"""Formats of the site, a package a language."""
