"""Writing notices down before they are sent, and taking back what did not leave. No ledger: nothing is decided here."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from certs.notices.models import Notice
from certs.notices.queries import Item
from training.people.models import Person


@transaction.atomic
def write_notices(*, person: Person, items: Collection[Item], at: datetime) -> list[Notice]:
    """Write down what a person is about to be told; return what nobody else has written meanwhile."""
    written = []
    for item in items:
        facts = {"card": item.card, "kind": item.kind, "due": item.due, "number": item.number}
        notice, made = Notice.objects.get_or_create(person=person, **facts, defaults={"written_at": at})
        written += [notice] if made else []
    return written


@transaction.atomic
def mark_sent(*, notices: Collection[Notice], at: datetime) -> None:
    """Note that the mail with these notices has left."""
    Notice.objects.filter(pk__in=[notice.pk for notice in notices]).update(sent_at=at)


@transaction.atomic
def take_back(*, notices: Collection[Notice]) -> None:
    """Forget notices whose mail did not leave, so that the next run sends them."""
    Notice.objects.filter(pk__in=[notice.pk for notice in notices]).delete()
