"""The invented company of the demo, replayed into a test's database."""

from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

from certs.management import replay
from certs.management.commands.load_content import load
from tests.kept import once
from tests.keys import make_keys
from training.content.load import Content, read_content

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "fixtures" / "demo"


@lru_cache
def content() -> Content:
    """Read the content once a process."""
    return read_content(ROOT / "fixtures" / "content")


def settle(now: datetime) -> replay.Company:
    """Load the content and make the people, without their history."""
    return once(_settled, now=now)


def make(now: datetime) -> replay.Company:
    """Make the whole company with its history up to now, and the key that signs its cards."""
    return once(_made, now=now)


def _settled(now: datetime) -> replay.Company:
    company = replay.Company(now.astimezone(UTC), content())
    load(
        replay.as_it_was(content(), replay.read(DEMO, "history.toml")["earlier"]), at=company.moment(replay.SINCE_DAYS)
    )
    replay.settle(company, replay.read(DEMO, "people.toml"))
    return company


def _made(now: datetime) -> replay.Company:
    company = _settled(now)
    for _done in replay.replay(company, replay.read(DEMO, "history.toml")):
        pass
    make_keys()
    return company
