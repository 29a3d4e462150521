"""Employers, crews, people and their roles; who may see whom."""
