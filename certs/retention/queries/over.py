"""What is kept longer than its term."""

from datetime import datetime, timedelta

from axes.models import AccessAttempt, AccessFailureLog
from django.contrib.sessions.models import Session
from django.db.models import Q, QuerySet

from certs.batches.models import Batch
from certs.complaints.models import Outsider
from certs.complaints.rules import Step
from certs.exports.models import CalendarFeed
from certs.gates.models import GateToken
from certs.jobs.models import Absence
from certs.notices.models import Notice
from certs.photos.models import Photo
from certs.retention.queries.against import against, evidence_until
from certs.retention.rules import TERMS, Kind
from training.ledger.models import Entry
from training.mail.models import UnsentMail
from training.people.models import Invitation, Person
from training.quizzes.models import Seen
from training.refreshers.models import Reminder


def over(*, at: datetime) -> dict[Kind, list[tuple[QuerySet, str]]]:  # type: ignore[type-arg]
    """Return the rows whose term is over at a moment, by kind, each with the column that says how old they are.

    Lines of rosters are forgotten by their own room, and people by `people_over`.
    """
    past = {kind: at - timedelta(days=term.days or 0) for kind, term in TERMS.items()}
    return {
        Kind.SESSIONS: [(Session.objects.filter(expire_date__lt=at), "expire_date")],
        Kind.TRIES: [
            (AccessAttempt.objects.filter(attempt_time__lt=past[Kind.TRIES]), "attempt_time"),
            (AccessFailureLog.objects.filter(attempt_time__lt=past[Kind.TRIES]), "attempt_time"),
        ],
        Kind.LINKS: [(Invitation.objects.filter(made_at__lt=past[Kind.LINKS]), "made_at")],
        Kind.MAILS: [
            (Notice.objects.filter(written_at__lt=past[Kind.MAILS]), "written_at"),
            (Reminder.objects.filter(written_at__lt=past[Kind.MAILS]), "written_at"),
        ],
        Kind.UNSENT: [(UnsentMail.objects.filter(written_at__lt=past[Kind.UNSENT]), "written_at")],
        Kind.SEEN: [(Seen.objects.filter(on__lt=past[Kind.SEEN].date()), "on")],
        Kind.WORK_PHOTOS: [
            (Photo.objects.filter(kind="bonds", kept_at__lt=past[Kind.WORK_PHOTOS]), "kept_at"),
        ],
        Kind.FEEDS: [(CalendarFeed.objects.filter(person__is_active=False), "made_at")],
        Kind.TOKENS: [(GateToken.objects.filter(revoked_at__lt=past[Kind.TOKENS]), "revoked_at")],
        Kind.PRINTS: [
            (
                Batch.objects.filter(
                    Q(made_at=None) | Q(made_at__lt=past[Kind.PRINTS]), asked_at__lt=past[Kind.PRINTS]
                ),
                "asked_at",
            ),
        ],
        Kind.OUTSIDERS: [
            (
                Outsider.objects.filter(
                    complaint__steps__step=Step.CLOSED, complaint__steps__at__lt=past[Kind.OUTSIDERS]
                ),
                "complaint__received_at",
            ),
        ],
        Kind.AWAY: [(Absence.objects.filter(until_on__lt=past[Kind.AWAY].date()), "until_on")],
    }


def people_over(*, at: datetime) -> list[Person]:
    """Return the people whose evidence is past its term: account closed, nothing against it, not erased yet."""
    erased = {entry["person"] for entry in Entry.objects.filter(act="person erased").values_list("about", flat=True)}
    on = at.date()
    closed = Person.objects.filter(is_active=False).exclude(pk__in=erased).order_by("pk")
    return [one for one in closed if _is_over(one, at) and not against(one, on=on, at=at)]


def _is_over(person: Person, at: datetime) -> bool:
    until = evidence_until(person)
    return until is not None and until < at.date()


def summary(*, at: datetime) -> list[str]:
    """Return what would go, a line a kind: how many, and how old the oldest is."""
    lines = []
    for kind, found in over(at=at).items():
        count = sum(rows.count() for rows, _column in found)
        oldest = [rows.order_by(column).values_list(column, flat=True).first() for rows, column in found]
        days = [f"{moment:%Y-%m-%d}" for moment in oldest if moment is not None]
        lines.append(f"{kind}: {count}" + (f", the oldest of {min(days)}" if days else ""))
    return [*lines, f"people whose names are erased: {len(people_over(at=at))}"]
