"""Telling a person by mail that something about how they sign in has changed, so that a theft does not go unseen."""

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.mail.operations import send_now, write_down
from training.people.models import Person
from training.people.rules import Change

WORDS: Mapping[Change, object] = {
    Change.PASSWORD: _("Your password was changed."),
    Change.BY_LINK: _("A sign-in link made for you was used, and a new password was set with it."),
    Change.FACTORS_GONE: _(
        "A sign-in link made for you was used: a new password was set, and your app and passkeys were taken away."
    ),
    Change.APP_ADDED: _("An app that shows sign-in codes was set up for your account."),
    Change.APP_REMOVED: _("The app that showed sign-in codes was taken away from your account."),
    Change.PASSKEY_ADDED: _("A passkey was added to your account."),
    Change.PASSKEY_REMOVED: _("A passkey was taken away from your account."),
    Change.CODES_MADE: _("New recovery codes were made for your account. The old ones work no more."),
    Change.CODE_USED: _("One of your recovery codes was used."),
    Change.SIGNED_OUT: _("You were signed out everywhere, because your roles or your account were changed."),
    Change.SIGNED_OUT_THERE: _("You were signed out in one or more browsers, from another one."),
    Change.OTHER: _("Something about how you sign in was changed."),
}


def tell(person: Person, change: Change, *, at: datetime) -> None:
    """Mail a person what changed, once it is kept. A failed mail stops nothing; without an address nobody is told."""
    if not person.email:
        return
    with translation.override(person.reads), timezone.override(ZoneInfo(person.employer.zone)):
        facts = {"person": person, "what": WORDS[change], "at": at}
        body = render_to_string("training/people/change_mail.txt", facts)
        mail = write_down(person=person.pk, subject=gettext("Your sign-in was changed"), body=body, at=at)

    def send() -> None:  # a function, not a partial: Django names what broke by its __qualname__
        send_now([mail])

    # After the commit: a mail server that is slow must not hold the lock of the database.
    transaction.on_commit(send, robust=True)
