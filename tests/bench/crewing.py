"""Planning 200 jobs over 30 days for 500 people, and for 120, against the greedy plan that fills place by place."""

import random
import time
from datetime import date, timedelta

from certs.crewing.rules import Rules, cost, propose, shortages
from certs.crewing.rules.greedy import greedy
from certs.crewing.rules.wishes import shares
from certs.jobs.rules import Hand, Job, Want
from tests.bench.measure import Figure

FIRST, DAYS, JOBS = date(2026, 12, 1), 30, 200
SCHEMES = ("bonds", "leads", "repair")
# An open place weighs as much as this many points, so that plans can be told apart by one figure.
OPEN = 100
COST_GOAL, BEHIND_GOAL, SECONDS = 0.9, 1.35, 60.0


def planned() -> tuple[Figure, ...]:
    """Measure with people enough, then with few."""
    return (*_measured("crewing", 500, slower=60), *_measured("crewing, few people", 120, slower=300))


def _measured(name: str, people: int, *, slower: float) -> tuple[Figure, ...]:
    """Compare the plans of one case by cost and by time; the bound is what no plan comes below."""
    jobs, hands = asked(people)
    rules = Rules()
    start = time.process_time()
    first = greedy(jobs, hands, (), share=shares(jobs, hands)["north"], rules=rules)
    between = time.process_time()
    proposal = propose(jobs, hands, rules=rules, seconds=SECONDS)
    end = time.process_time()
    missing = sum(one.missing for one in proposal.short)
    points = proposal.wishes.points + OPEN * missing
    quick = cost(first, jobs, hands, rules=rules).points + OPEN * sum(one.missing for one in shortages(first, jobs))
    bound = proposal.least + OPEN * missing
    return (
        Figure(f"{name}: cost", round(points / quick, 3), COST_GOAL, missing, "places open"),
        Figure(f"{name}: cost against the bound", round(points / bound, 3), BEHIND_GOAL, points, "points"),
        Figure(f"{name}: time", round((end - between) / (between - start), 1), slower, round(end - between, 1), "s"),
    )


def asked(people: int) -> tuple[list[Job], list[Hand]]:
    """Return jobs of one to five days at forty places, and people in crews of eight with a card or more."""
    made = random.Random(1)
    crews = people // 8
    hands = []
    for number in range(people):
        lasts = {scheme: FIRST + timedelta(days=made.randrange(-20, 700)) for scheme in SCHEMES}
        may = {scheme: ((FIRST - timedelta(days=300), last),) for scheme, last in lasts.items() if made.random() < 0.55}
        off = FIRST + timedelta(days=made.randrange(DAYS))
        away = ((off, off + timedelta(days=made.randrange(5))),) if made.random() < 0.3 else ()
        hands.append(Hand(f"h{number:03}", "N", f"c{number % crews}", "north", may, made.random() < 0.15, away))
    return [_job(made, number, crews) for number in range(JOBS)], hands


def _job(made: random.Random, number: int, crews: int) -> Job:
    lasts = made.choice([1, 2, 3, 3, 4, 5])
    first = FIRST + timedelta(days=made.randrange(DAYS - lasts + 1))
    wants = tuple(Want(scheme, made.choice([1, 1, 2])) for scheme in made.sample(SCHEMES, made.choice([1, 1, 2])))
    return Job(
        key=f"j{number:03}",
        employer="north",
        place=f"p{made.randrange(40)}",
        first=first,
        last=first + timedelta(days=lasts - 1),
        wants=wants,
        bonds=10,
        cold=False,
        night=made.random() < 0.3,
        crew=f"c{made.randrange(crews)}" if made.random() < 0.7 else None,
        cover=made.random() < 0.3,
    )
