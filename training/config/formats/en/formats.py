"""Dates a person cannot misread: 30 Nov 2026, never 11/30."""

DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "j M Y, H:i"
SHORT_DATE_FORMAT = "j M Y"
TIME_FORMAT = "H:i"
