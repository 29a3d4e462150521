"""A key to sign with."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from pytest_django import Settings


@pytest.fixture
def card_key(db: None, settings: Settings, tmp_path: Path) -> Path:
    """A fresh key that signs cards, its public half on record."""
    settings.CARD_KEY_FILE = tmp_path / "keys" / "card.key"
    call_command("make_card_key", stdout=StringIO())
    return tmp_path / "keys" / "card.key"
