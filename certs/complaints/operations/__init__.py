"""Complaints: `receiving` writes one down, `steps` adds what is done with it, `telling` mails whom it concerns."""

from certs.complaints.operations.receiving import ComplaintRefused, Given, Outside, flaws_in, receive
from certs.complaints.operations.steps import Involved, OutOfTurn, add, take
from certs.complaints.operations.telling import tell

__all__ = [
    "ComplaintRefused",
    "Given",
    "Involved",
    "OutOfTurn",
    "Outside",
    "add",
    "flaws_in",
    "receive",
    "take",
    "tell",
]
