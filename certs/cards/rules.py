"""Dates and standing of a card."""

from enum import StrEnum


class Step(StrEnum):
    """What can happen to a card after it is issued."""

    SUSPENDED = "suspended"
    REINSTATED = "reinstated"
    WITHDRAWN = "withdrawn"
    REPLACED = "replaced"
