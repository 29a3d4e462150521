"""Visits: `acts` asks, answers and calls off, `telling` mails those whom an act concerns."""

from certs.visits.operations.acts import NotOpen, VisitRefused, accept, ask, call_off, decline
from certs.visits.operations.telling import tell

__all__ = ["NotOpen", "VisitRefused", "accept", "ask", "call_off", "decline", "tell"]
