"""What a scheme lets a person do, and when an assessor stands too near the candidate."""

from enum import StrEnum


class Act(StrEnum):
    """An act that a scheme lets named people do, with dates."""

    TRAINS = "trains"
    ASSESSES = "assesses"
    DECIDES = "decides"
