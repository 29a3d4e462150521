"""Reading visits: `lists` for those who ask and are asked, `home` for the home page, `clashes` on their day."""

from certs.visits.queries.clashes import same_day, sent_out
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
    engaged,
    index,
    others,
    refusals,
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
    "engaged",
    "index",
    "on_home",
    "others",
    "refusals",
    "same_day",
    "sent_out",
    "shown",
    "steps_at",
    "watched",
]
