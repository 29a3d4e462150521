"""The people of an employer as the pure rules want them, for some days."""

from collections import defaultdict
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet

from certs.cards.models import Card, pasts
from certs.jobs.models import Absence, Job
from certs.jobs.rules import Hand, Ranges, Want, covers, ranges, shared
from certs.jobs.rules import Job as Asked
from certs.jobs.rules.holding import held_on
from training.people.models import CrewMembership, Employer, Person, RoleHeld
from training.people.rules import Role

DAY = timedelta(days=1)


def asked(job: Job) -> Asked:
    """Return a job as the pure rules want it; no query where its wants and their schemes are loaded."""
    wants = sorted(job.wants.all(), key=lambda want: want.scheme.slug)
    return Asked(
        key=str(job.pk),
        employer=job.employer.slug,
        place=job.place,
        first=job.first_on,
        last=job.last_on,
        wants=tuple(Want(want.scheme.slug, want.holders) for want in wants),
        bonds=job.bonds,
        cold=job.cold,
        night=job.night,
        crew=None if job.crew_id is None else str(job.crew_id),
        cover=job.cover,
        each_day=job.each_day,
    )


def called(job: Job) -> str:
    """Return how a job is told in a sentence: two jobs may be at one place."""
    return f"{job.reference}, {job.place}"


def hands(employer: Employer, *, first: date, last: date) -> tuple[Hand, ...]:
    """Return the crew members and supervisors of an employer with what is known today of these days: eight queries.

    A card holds on a day to come as `cards.rules.standing` says of that day, with nothing renewed or confirmed until
    then. Whoever is supervisor for only a part of the days is none.
    """
    span = _span(first, last)
    people = list(Person.objects.filter(employer=employer, is_active=True).order_by("name", "pk"))
    roles = RoleHeld.objects.filter(person__in=people)
    crew = _of_persons(roles.filter(role=Role.CREW), span)
    leads = _of_persons(roles.filter(role=Role.SUPERVISOR), span)
    away = _of_persons(Absence.objects.filter(person__in=people), span)
    crews: dict[int, dict[str, Ranges]] = defaultdict(dict)
    members = CrewMembership.objects.filter(person__in=people)
    for (person, one), spells in _spells(members, span, "person", "crew").items():
        crews[person][str(one)] = spells
    may = _may(people, crew, span)
    whole = ((first, last),)
    return tuple(
        Hand(
            key=str(one.pk),
            name=one.name,
            crew=next((name for name, spells in sorted(crews[one.pk].items()) if covers(spells, first)), None),
            employer=employer.slug,
            may=may.get(one.pk, {}),
            supervisor=leads.get(one.pk) == whole,
            away=away.get(one.pk, ()),
            crews=crews[one.pk],
        )
        for one in people
        if one.pk in crew or one.pk in leads
    )


def _span(first: date, last: date) -> tuple[date, ...]:
    return tuple(first + place * DAY for place in range((last - first).days + 1))


def _spells(rows: QuerySet[Any], span: tuple[date, ...], *keys: str) -> dict[tuple[int, ...], Ranges]:
    """Put the dated rows of each key together into ranges within the span."""
    found: dict[tuple[int, ...], set[date]] = defaultdict(set)
    for *key, from_on, until_on in rows.values_list(*keys, "from_on", "until_on"):
        found[tuple(key)].update(day for day in span if from_on <= day and (until_on is None or day <= until_on))
    return {key: ranges(days) for key, days in found.items() if days}


def _of_persons(rows: QuerySet[Any], span: tuple[date, ...]) -> dict[int, Ranges]:
    return {person: spells for (person,), spells in _spells(rows, span, "person").items()}


def _may(people: list[Person], crew: dict[int, Ranges], span: tuple[date, ...]) -> dict[int, dict[str, Ranges]]:
    """Return by person and scheme the days on which the card that counts then holds."""
    held: dict[tuple[int, str], list[Card]] = defaultdict(list)
    issued = Card.objects.filter(person__in=people, valid_from__lte=span[-1]).order_by("valid_from", "pk")
    found = list(issued.select_related("scheme", "scheme_issue"))
    known = pasts(found)
    for card in found:
        held[card.person_id, card.scheme.slug].append(card)
    may: dict[int, dict[str, Ranges]] = defaultdict(dict)
    for (person, scheme), theirs in held.items():
        facts = [card.facts(known[card.pk]) for card in theirs]
        on = shared(held_on(facts, first=span[0], last=span[-1]), crew.get(person, ()))
        if on:
            may[person][scheme] = on
    return may
