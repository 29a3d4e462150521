import pytest


@pytest.fixture(autouse=True)
def rooms(settings):
    settings.ROOT_URLCONF = "tests.certs.board.urls"
