"""Receiving and signing a practical, declaring and answering an exception, deciding."""

from certs.signoffs.operations.decisions import decide
from certs.signoffs.operations.exceptions import approve_exception, declare_exception, refuse_exception
from certs.signoffs.operations.refusals import (
    BadSheet,
    CannotCorrect,
    MayNotDecide,
    MayNotSign,
    NoException,
    Refused,
    Unfit,
)
from certs.signoffs.operations.sheets import Reader, Signed, Written, receive, send_back, sign_sheet, sign_sheets
from certs.signoffs.operations.signing import fingerprint, sign_off

__all__ = [
    "BadSheet",
    "CannotCorrect",
    "MayNotDecide",
    "MayNotSign",
    "NoException",
    "Reader",
    "Refused",
    "Signed",
    "Unfit",
    "Written",
    "approve_exception",
    "decide",
    "declare_exception",
    "fingerprint",
    "receive",
    "refuse_exception",
    "send_back",
    "sign_off",
    "sign_sheet",
    "sign_sheets",
]
