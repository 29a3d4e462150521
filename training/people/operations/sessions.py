"""Ending sessions."""

from datetime import datetime

from allauth.usersessions.models import UserSession

from training.people.operations.telling import tell
from training.people.rules import Change


def end_session(session: UserSession, *, at: datetime) -> None:
    """Sign a browser out, from another one, and tell its person."""
    session.end()
    tell(session.user, Change.SIGNED_OUT_THERE, at=at)
