"""Fixtures every test may ask for."""

import pytest

from tests.cast import Cast, assemble


@pytest.fixture
def cast(db: None) -> Cast:
    """The people of tests/cast.py, saved."""
    return assemble()
