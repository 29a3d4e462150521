"""A key to sign with."""

from pathlib import Path

import pytest
import time_machine
from pytest_django import Settings

from tests.cast import AT
from tests.keys import make_keys


@pytest.fixture
def card_key(db: None, settings: Settings, tmp_path: Path) -> Path:
    """A fresh key that signs cards from the day of the cast, published by a root key beside it."""
    settings.CARD_KEY_FILE = tmp_path / "keys" / "card.key"
    settings.ROOT_PUBLIC_FILE = tmp_path / "keys" / "root.pub"
    with time_machine.travel(AT, tick=False):
        make_keys()
    return tmp_path / "keys" / "card.key"
