"""News of an act: written down with it, tried once it is kept, and tried again until it has left."""

import logging
from collections.abc import Iterable
from datetime import datetime
from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPSenderRefused

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction

from training.mail.models import UnsentMail
from training.mail.rules import AGAIN_AFTER, GIVEN_UP_AFTER, PATIENCE_S

# Said of one mail, by a server that takes others.
OF_THE_MAIL = (SMTPRecipientsRefused, SMTPSenderRefused, SMTPDataError)

logger = logging.getLogger("ferrule.mail")


@transaction.atomic
def write_down(*, person: int, subject: str, body: str, at: datetime) -> UnsentMail:
    """Keep a mail to a person, by number, with what it tells of; whoever writes it tries it first (`send_now`)."""
    return UnsentMail.objects.create(person_id=person, subject=subject, body=body, written_at=at, tried_at=at)


def send_now(mails: Iterable[UnsentMail], *, patience: float = PATIENCE_S) -> list[UnsentMail]:
    """Send mails over one connection, delete each that has left, return those that wait.

    Call it when they are kept. A server that does not answer costs one wait of so many seconds and not one for each. A
    process that dies after a mail left and before its row is gone sends it twice: at least once.
    """
    waiting = list(mails)
    try:
        with get_connection(timeout=patience) as connection:
            for mail in tuple(waiting):
                if _has_left(mail, connection):
                    mail.delete()
                    waiting.remove(mail)
    except OSError as error:
        logger.warning("%s mails wait: %s", len(waiting), type(error).__name__)
    return waiting


def send_waiting(*, at: datetime) -> tuple[int, int]:
    """Try all that wait, let go of what is too old; return how many left and how many wait."""
    given_up, _tables = UnsentMail.objects.filter(written_at__lt=at - GIVEN_UP_AFTER).delete()
    if given_up:
        logger.error("%s mails were given up", given_up)
    due = UnsentMail.objects.filter(tried_at__lte=at - AGAIN_AFTER).select_related("person").order_by("pk")
    # Two who come together both find a mail, and one of them takes it.
    taken = [mail for mail in due if UnsentMail.objects.filter(pk=mail.pk, tried_at=mail.tried_at).update(tried_at=at)]
    left = len(taken) - len(send_now(taken, patience=settings.EMAIL_TIMEOUT))
    return left, UnsentMail.objects.count()


def _has_left(mail: UnsentMail, connection: BaseEmailBackend) -> bool:
    """Send one mail; a person without an address, or who lost it since, has nobody to be told."""
    if not mail.person.email:
        return True
    try:
        EmailMessage(mail.subject, mail.body, to=[mail.person.email], connection=connection).send()
    except OF_THE_MAIL as error:
        logger.warning("a mail to person %s waits: %s", mail.person_id, type(error).__name__)
        return False
    return True
