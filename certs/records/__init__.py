"""One person and the whole of their record; the home page."""
