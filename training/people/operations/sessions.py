"""Ending sessions."""

from allauth.usersessions.models import UserSession


def end_session(session: UserSession) -> None:
    """Sign a browser out, from another one."""
    session.end()
