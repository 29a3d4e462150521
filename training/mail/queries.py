"""What waits to be sent."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Min

from training.mail.models import UnsentMail


@dataclass(frozen=True, slots=True)
class Waiting:
    """How many mails wait, and since when the oldest does."""

    count: int
    since: datetime | None


def waiting() -> Waiting:
    """Count the mails that wait, in one query."""
    found = UnsentMail.objects.aggregate(count=Count("pk"), since=Min("written_at"))
    return Waiting(found["count"], found["since"])
