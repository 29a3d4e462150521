"""Visits: `acts` asks, answers, asks another and calls off, `telling` mails those whom an act concerns."""

from certs.visits.operations.acts import NotOpen, VisitRefused, accept, ask, call_off, decline, offer
from certs.visits.operations.telling import tell

__all__ = ["NotOpen", "VisitRefused", "accept", "ask", "call_off", "decline", "offer", "tell"]
