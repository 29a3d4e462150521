"""Letting people in: one-time links to a first or a new password, and an account that took too many wrong tries."""

from datetime import date, datetime
from smtplib import SMTPException

from allauth.mfa.models import Authenticator
from axes.handlers.proxy import AxesProxyHandler
from axes.models import AccessFailureLog
from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.ledger.operations import write
from training.mail.rules import PATIENCE_S
from training.people import rules
from training.people.models import Invitation, Person
from training.people.operations.accounts import Refused, check_account, end_sessions, lock
from training.people.operations.telling import tell
from training.people.rules import Change, IdentityCheck, Purpose


class NotForYourself(Refused):
    """An administrator asks for a link of their own."""

    def __init__(self) -> None:
        super().__init__(_("Ask another administrator: a link for oneself would prove nothing."))


class Closed(Refused):
    """The account is closed."""

    def __init__(self) -> None:
        super().__init__(_("Open the account first: nobody can sign in to a closed one."))


class NoLonger(Refused):
    """The link was used, taken back, or is too old."""

    def __init__(self) -> None:
        super().__init__(_("This link is no longer good. Ask an administrator for a new one."))


@transaction.atomic
def invite(
    *,
    by: Person,
    person: Person,
    purpose: Purpose,
    checked: IdentityCheck,
    on: date,
    at: datetime,
    by_mail: bool = False,
) -> Invitation:
    """Make a link with which a person sets a password, and take back any earlier one.

    The ledger says who made it, for what, how they made sure who asked, and whether it goes by mail. Raises Refused.
    """
    if by.pk == person.pk:
        raise NotForYourself
    check_account(by, person, on=on)
    return _invite(by=by, person=person, purpose=purpose, checked=checked, at=at, by_mail=by_mail)


@transaction.atomic
def invite_from_the_server(*, person: Person, purpose: Purpose, at: datetime) -> Invitation:
    """Make a link for whoever keeps the server, where no administrator is left who can sign in. Raises Closed."""
    return _invite(by=person, person=person, purpose=purpose, checked=IdentityCheck.SERVER, at=at, by_mail=False)


def _invite(
    *, by: Person, person: Person, purpose: Purpose, checked: IdentityCheck, at: datetime, by_mail: bool
) -> Invitation:
    lock(person)
    if not person.is_active:
        raise Closed
    person.invitations.open().update(revoked_at=at)
    invitation = Invitation(person=person, purpose=purpose, checked=checked, made_by=by, made_at=at)
    invitation.full_clean()
    invitation.save()
    facts = {
        "person": person.pk,
        "invitation": invitation.pk,
        "purpose": purpose,
        "checked": checked,
        "by_mail": by_mail,
    }
    write(by=by.pk, act="sign-in link made", about=facts, at=at)
    return invitation


def send_link(*, person: Person, url: str, until: datetime) -> bool:
    """Mail a link to its person; say whether the mail left. No password is ever in a mail.

    It is tried once and not written down: of a link nothing but a hash is kept.
    """
    with translation.override(person.reads):
        body = render_to_string("training/people/link_mail.txt", {"person": person, "url": url, "until": until})
        # A server that does not answer soon is as good as away: the page shows the link all the same.
        connection = get_connection(timeout=PATIENCE_S)
        message = EmailMessage(gettext("Your sign-in link"), body, to=[person.email], connection=connection)
    try:
        message.send()
    except (OSError, SMTPException):
        return False
    return True


@transaction.atomic
def revoke(*, by: Person, person: Person, on: date, at: datetime) -> int:
    """Take back the open link of a person; return how many there were."""
    check_account(by, person, on=on)
    lock(person)
    taken = [one.pk for one in person.invitations.open()]
    person.invitations.open().update(revoked_at=at)
    for pk in taken:
        write(by=by.pk, act="sign-in link taken back", about={"person": person.pk, "invitation": pk}, at=at)
    return len(taken)


@transaction.atomic
def accept(*, invitation: Invitation, password: str, at: datetime) -> Person:
    """Set the password of a person by their link, once; every session of theirs ends. Raises NoLonger.

    A link for a lost second factor takes the old ones away as well: the person sets up new ones.
    """
    person = lock(invitation.person)
    invitation = Invitation.objects.get(pk=invitation.pk)
    if not (person.is_active and invitation.is_good(at=at)):
        raise NoLonger
    invitation.used_at = at
    invitation.save(update_fields=["used_at"])
    person.set_password(password)
    person.save(update_fields=["password"])
    if invitation.purpose == Purpose.FACTOR:
        Authenticator.objects.filter(user=person).delete()
    end_sessions(person)
    _forget_failures(person)
    tell(person, Change.FACTORS_GONE if invitation.purpose == Purpose.FACTOR else Change.BY_LINK, at=at)
    write(by=person.pk, act="sign-in link used", about={"person": person.pk, "invitation": invitation.pk}, at=at)
    return person


@transaction.atomic
def let_in(*, by: Person, person: Person, at: datetime) -> None:
    """Let a person try again after too many wrong passwords or codes. Whose, the access getter has settled."""
    failures = _forget_failures(person)
    write(by=by.pk, act="let in again", about={"person": person.pk, "failures": failures}, at=at)


def _forget_failures(person: Person) -> int:
    name = rules.counted_as(person.username)
    AxesProxyHandler.reset_attempts(username=name)
    return AccessFailureLog.objects.filter(username=name).delete()[0]
