"""Schemes and people of the sign-offs room."""

import pytest

from tests.cast import AT, Cast
from tests.certs.signoffs.making import Ground, lay


@pytest.fixture
def ground(cast: Cast) -> Ground:
    """Both schemes, loaded, with the people who act under them."""
    return lay(cast)


@pytest.fixture
def today(time_machine):
    """The day of the tests, for pages that read the clock."""
    time_machine.move_to(AT, tick=False)
    return AT
