"""Complaints: `receiving` writes one down, `steps` adds what is done with it, `telling` mails whom it concerns."""

from certs.complaints.operations.receiving import ComplaintRefused, Given, Outside, receive
from certs.complaints.operations.steps import Involved, OutOfTurn, add, take
from certs.complaints.operations.telling import tell

__all__ = ["ComplaintRefused", "Given", "Involved", "OutOfTurn", "Outside", "add", "receive", "take", "tell"]
