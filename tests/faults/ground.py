"""A filled site for a drill: people, papers, schemes, and sessions; run in the drill's own environment."""

import json
import sys
from datetime import timedelta

from django.contrib.auth.hashers import make_password
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.utils import timezone

from certs.schemes.rules import Act
from tests import keys
from tests.cast import START, assemble, show_both_factors
from tests.certs.signoffs.making import Ground, lay
from tests.training.quizzes.pool import paper, place, questions
from training.bank.operations import load_questions
from training.people.models import Person, RoleHeld
from training.people.rules import Role
from training.quizzes import operations
from training.quizzes.models import Paper

SLUG = "bonding-theory"


def lay_out(*, takers: int, starters: int, assessors: int, candidates: int) -> None:
    """Make the tables and everyone in them; print what the clients of a drill need, as JSON.

    A taker has a paper open, a starter has none; an assessor may sign ten times a minute, so there are several. One
    decider grants what the scheme `separate` leaves to be decided.
    """
    _tables()
    now = timezone.now()
    ground = lay(assemble())
    load_questions(questions(6), at=now)
    operations.load_papers([paper(SLUG, minutes=240)], at=now)
    keys.make_keys()
    told = {
        "takers": [_taker(_member(ground, f"taker{n}", Role.CREW)) for n in range(takers)],
        "starters": [_session(_member(ground, f"starter{n}", Role.CREW)) for n in range(starters)],
        "assessors": [_trainer(ground, f"assessor{n}", Act.ASSESSES) for n in range(assessors)],
        "decider": _trainer(ground, "decider", Act.DECIDES),
        "candidates": [_candidate(ground, n) for n in range(candidates)],
    }
    json.dump(told, sys.stdout)


def _tables() -> None:
    if connection.vendor == "sqlite":
        # What the second migration of `training` does.
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA journal_mode=WAL")
    call_command("migrate", run_syncdb=True, verbosity=0)
    call_command("createcachetable", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)


def _member(ground: Ground, name: str, role: Role, password: str = "") -> Person:
    """Make somebody; without a password, which takes a while to make, the box of a signature stands in for it."""
    employer = ground.cast.body if role is Role.TRAINER else ground.cast.northmoor
    who = Person(username=name, name=name.title(), email=f"{name}@example.org", employer=employer)
    who.password = password or make_password(None)
    who.save()
    RoleHeld.objects.create(person=who, role=role, from_on=START)
    return who


def _session(who: Person) -> dict[str, object]:
    client = Client()
    client.force_login(who)
    # A trainer gets nowhere without the second.
    show_both_factors(client, who)
    return {"person": who.pk, "session": client.session.session_key}


def _taker(who: Person) -> dict[str, object]:
    """Open a paper; the voltage lost is answered again and again."""
    sitting = operations.open_sitting(
        person=who, paper=Paper.objects.get(slug=SLUG), seed=who.username, at=timezone.now()
    )
    return _session(who) | {"sitting": str(sitting.pk), "place": place(sitting, "drop")}


def _trainer(ground: Ground, name: str, act: Act) -> dict[str, object]:
    who = _member(ground, name, Role.TRAINER, ground.cast.olga.password)
    ground.allow(who, act)
    return _session(who)


def _candidate(ground: Ground, number: int) -> int:
    """Make somebody ready for the practical."""
    who = _member(ground, f"candidate{number}", Role.CREW)
    ground.ready(who, on=timezone.now().date() - timedelta(days=3))
    return int(who.pk)
