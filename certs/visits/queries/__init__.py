"""Reading visits: `lists` for those who ask and are asked, `home` for the home page, `clashes` on their day,
`trainers` who could come."""

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
    index,
    others,
    refusals,
    shown,
    steps_at,
    watched,
)
from certs.visits.queries.trainers import engaged, may_assess, trained_lately

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
    "may_assess",
    "on_home",
    "others",
    "refusals",
    "same_day",
    "sent_out",
    "shown",
    "steps_at",
    "trained_lately",
    "watched",
]
