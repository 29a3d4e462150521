"""Reading visits: `lists` for those who ask and those who are asked, `home` what the home page says of them."""

from certs.visits.queries.home import OnHome, on_home
from certs.visits.queries.lists import (
    Line,
    Lists,
    Shown,
    accepted_for,
    assessed,
    assessors,
    busy,
    declined_by,
    index,
    others,
    refusals,
    same_day,
    shown,
    steps_at,
    watched,
)

__all__ = [
    "Line",
    "Lists",
    "OnHome",
    "Shown",
    "accepted_for",
    "assessed",
    "assessors",
    "busy",
    "declined_by",
    "index",
    "on_home",
    "others",
    "refusals",
    "same_day",
    "shown",
    "steps_at",
    "watched",
]
