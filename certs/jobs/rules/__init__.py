"""Jobs, the people for them, who fills which place, what the day takes, and lists of jobs. Plain values only."""

from certs.jobs.rules.crewing import Day, Place, crew_day, crew_job
from certs.jobs.rules.kit import Kit, Need, need
from certs.jobs.rules.placing import AcceptedPlan, Elsewhere, Placed, elsewhere, free, missed
from certs.jobs.rules.plain import (
    MOST_DAYS,
    Hand,
    Job,
    Ranges,
    Reason,
    Seat,
    Want,
    bonds_on,
    covers,
    days,
    fits,
    in_crew,
    ranges,
    seats,
    shared,
)

__all__ = [
    "MOST_DAYS",
    "AcceptedPlan",
    "Day",
    "Elsewhere",
    "Hand",
    "Job",
    "Kit",
    "Need",
    "Place",
    "Placed",
    "Ranges",
    "Reason",
    "Seat",
    "Want",
    "bonds_on",
    "covers",
    "crew_day",
    "crew_job",
    "days",
    "elsewhere",
    "fits",
    "free",
    "in_crew",
    "missed",
    "need",
    "ranges",
    "seats",
    "shared",
]
