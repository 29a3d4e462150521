"""Filled sheets, signed practicals with their test bonds, declared exceptions, and decisions."""

from certs.signoffs.models.records import AssessorException, Decision, Signoff, TestBond
from certs.signoffs.models.sheets import DoAgain, ReceivedSheet
from certs.signoffs.models.words import (
    AGAIN_WORDS,
    APPROVAL_WORDS,
    CONFIRMED_WORDS,
    DECISION_WORDS,
    FAULT_WORDS,
    LOOK_WORDS,
    OBJECTION_WORDS,
    SLIP_WORDS,
    TOOL_WORDS,
)

__all__ = [
    "AGAIN_WORDS",
    "APPROVAL_WORDS",
    "CONFIRMED_WORDS",
    "DECISION_WORDS",
    "FAULT_WORDS",
    "LOOK_WORDS",
    "OBJECTION_WORDS",
    "SLIP_WORDS",
    "TOOL_WORDS",
    "AssessorException",
    "Decision",
    "DoAgain",
    "ReceivedSheet",
    "Signoff",
    "TestBond",
]
