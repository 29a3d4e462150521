"""Complaints with all that is asked of them."""

from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from certs.complaints import rules
from certs.complaints.models import Complaint, ComplaintStep
from certs.complaints.rules import Entry, Step
from training.people.models import Person

LOADED = ("complainant__employer", "entered_by", "of__employer", "outsider")
CLOSED = Exists(ComplaintStep.objects.filter(complaint=OuterRef("pk"), step=Step.CLOSED))
OF_THE_CARD = ("card__person__employer", "card__scheme_issue", "card__evidence")


def complaints() -> QuerySet[Complaint]:
    """Return complaints with the people and the card they are about, and their steps in order."""
    steps = ComplaintStep.objects.select_related("by", "asked", "corrects").order_by("at", "pk")
    return Complaint.objects.select_related(*LOADED, *OF_THE_CARD).prefetch_related(Prefetch("steps", queryset=steps))


def past_of(complaint: Complaint) -> list[Entry]:
    """Return what was done with a complaint loaded through `complaints`, as the rules take it."""
    return [Entry(step=Step(one.step), by=one.by_id, asked=one.asked_id, until=one.until) for one in _steps(complaint)]


def handler_of(complaint: Complaint) -> Person | None:
    """Return who handles a complaint."""
    number = rules.handler(past_of(complaint))
    return next((one.by for one in reversed(_steps(complaint)) if one.by_id == number), None)


def is_gone(complaint: Complaint) -> bool:
    """Say whether the account of who handles a complaint was closed: then somebody else may take it up."""
    found = handler_of(complaint)
    return found is not None and not found.is_active


def correctable(complaint: Complaint) -> QuerySet[ComplaintStep]:
    """Return the entries that whoever handles a complaint may put right by a new one: those written in that part."""
    return complaint.steps.exclude(step__in=[Step.TAKEN, Step.SIDE, Step.PUT_RIGHT]).order_by("at", "pk")


def open_about(person: Person) -> QuerySet[Complaint]:
    """Return the complaints not answered yet in which a person has a part: theirs, about them, or handled by them."""
    part = Q(complainant=person) | Q(of=person) | Q(steps__asked=person) | Q(steps__by=person, steps__step=Step.TAKEN)
    return Complaint.objects.filter(part).exclude(CLOSED).distinct()


def steps_told(person: Person) -> QuerySet[ComplaintStep]:
    """Return the steps that a person was told of as who complained, or wrote as the other side."""
    told = Q(complaint__complainant=person, step__in=[Step.TAKEN, Step.WORD, Step.CLOSED])
    return ComplaintStep.objects.filter(told | Q(by=person, step=Step.SIDE))


def written_about(person: Person) -> list[tuple[QuerySet[Any], tuple[str, ...]]]:
    """Return the rows with words of a person who complained or is complained of, each with those columns."""
    about = Complaint.objects.filter(Q(complainant=person) | Q(of=person) | Q(card__person=person))
    steps = ComplaintStep.objects.filter(Q(complaint__in=about.values("pk")) | Q(by=person, step=Step.SIDE))
    return [(about, ("what", "wanted", "who", "place", "reference")), (steps, ("text",))]


def _steps(complaint: Complaint) -> list[ComplaintStep]:
    return list(complaint.steps.all())
