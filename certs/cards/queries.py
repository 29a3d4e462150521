"""Reading cards: one card's face, many people's standings, the signed code, the public answer."""

import stat
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import StrEnum
from pathlib import Path
from zoneinfo import ZoneInfo

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import load_pem_private_key
from django.conf import settings
from django.db.models import QuerySet
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.cards import code, rules
from certs.cards.models import Card, CardKey, Past, pasts
from certs.cards.rules import Standing, State, Step

REASONS: Mapping[Standing, str | Promise] = {
    Standing.CURRENT: gettext_lazy("Good to the end of %(day)s."),
    Standing.DUE: gettext_lazy("Renewal is open. Good to the end of %(day)s."),
    Standing.LAPSED: gettext_lazy("The last day was %(day)s."),
    Standing.SUSPENDED: gettext_lazy("Suspended since %(day)s."),
    Standing.WITHDRAWN: gettext_lazy("Withdrawn on %(day)s."),
    Standing.REPLACED: gettext_lazy("Replaced by a newer card on %(day)s."),
    Standing.NOT_YET_VALID: gettext_lazy("Not valid before %(day)s."),
    Standing.WORK_NOT_CONFIRMED: gettext_lazy("Work was to be confirmed by %(day)s and was not."),
    Standing.PROCEDURE_OVERDUE: gettext_lazy("What a changed procedure asks was to be done by %(day)s and was not."),
}


# While a card is in force, or stopped by a procedure alone, its holder is told what procedures ask.
OWING = frozenset({Standing.CURRENT, Standing.DUE, Standing.PROCEDURE_OVERDUE})


class KeyUnavailable(RuntimeError):
    """The key that signs cards cannot be used; the message says what to do."""


class Answer(StrEnum):
    """What somebody at the gate is told."""

    ACCEPT = "accept"
    TELEPHONE = "telephone"
    REFUSE = "refuse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Owing:
    """What its holder still has to do about a changed procedure, as of a day."""

    slug: str
    title: str
    number: int
    by_day: date
    to_read: bool
    to_answer: bool
    overdue: bool

    @property
    def words(self) -> str:
        """What is to be done, by when, in one line."""
        if self.to_read and self.to_answer:
            says = _("was to be read, and its questions answered, by") if self.overdue else _("read it, and answer by")
        elif self.to_read:
            says = _("was to be read by") if self.overdue else _("read it by")
        else:
            says = _("its questions were to be answered by") if self.overdue else _("answer its questions by")
        words = _("%(title)s, revision %(number)d: %(says)s %(day)s")
        facts = {"title": self.title, "number": self.number, "says": says, "day": date_format(self.by_day)}
        return words % facts


@dataclass(frozen=True, slots=True, kw_only=True)
class CardFace:
    """A card as it stands on a day. `reason` is a sentence, `warning` is empty or more of them.

    `owed` is what changed procedures still ask, while the card is in force or stopped by that alone.
    """

    number: str
    person_id: int
    scheme_id: int
    holder: str
    employer: str
    issuer: str
    scheme: str
    scheme_slug: str
    issue: int
    scope: str
    limits: str
    valid_from: date
    last_day: date
    zone: str
    confirmed_to: date
    renew_from: date
    renewal_open: bool
    issued_on: date
    standing: Standing
    day: date
    reason: str
    warning: str
    owed: tuple[Owing, ...]

    @property
    def holds(self) -> bool:
        """Whether the card may be worked under on the day asked about."""
        return self.standing.holds


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """The public answer about a card, with the local moment of asking; without a face nothing is known of it."""

    answer: Answer
    reasons: tuple[str, ...]
    at: datetime
    zone: str
    face: CardFace | None = None

    @property
    def when(self) -> str:
        """The moment as clocks there show it; a template would turn it into the site's own zone."""
        return date_format(self.at, "DATETIME_FORMAT")


def cards() -> QuerySet[Card]:
    """Return cards with what is printed on their faces; what happened to them is loaded by `pasts`."""
    return Card.objects.select_related("person__employer", "scheme", "scheme_issue")


def card_numbered(number: str) -> Card | None:
    """Return the card of a printed or typed number, or None: also for what cannot be a number."""
    tidy = rules.tidy_number(number)
    return cards().filter(number=tidy).first() if tidy else None


def face(card: Card, *, on: date, past: Past | None = None) -> CardFace:
    """Say how a card stands on a day; no query when it was loaded through `cards` and its past is given."""
    past = past or pasts([card])[card.pk]
    facts = card.facts(past)
    state = rules.standing(facts, on=on)
    renew_from = rules.add_months(card.last_day, -card.renew_months)
    renewal_open = state.standing is Standing.DUE and on >= renew_from
    return CardFace(
        number=card.number,
        person_id=card.person_id,
        scheme_id=card.scheme_id,
        holder=card.holder_name,
        employer=card.person.employer.name,
        issuer=card.issuer_name,
        scheme=card.scheme_issue.title,
        scheme_slug=card.scheme.slug,
        issue=card.scheme_issue.number,
        scope=card.scope,
        limits=card.limits,
        valid_from=card.valid_from,
        last_day=card.last_day,
        zone=card.zone,
        confirmed_to=rules.confirm_by(facts, on=on),
        renew_from=renew_from,
        renewal_open=renewal_open,
        issued_on=rules.local_day(card.issued_at, card.zone),
        standing=state.standing,
        day=state.day,
        reason=_reason(state, card, renewal_open=renewal_open),
        warning=_warning(state),
        owed=_owed(past, card, on=on) if state.standing in OWING else (),
    )


def faces(cards: Iterable[Card], *, on: date) -> list[CardFace]:
    """Say how each of many cards stands on a day, in two queries more than loaded the cards."""
    found = list(cards)
    known = pasts(found)
    return [face(card, on=on, past=known[card.pk]) for card in found]


def _owed(past: Past, card: Card, *, on: date) -> tuple[Owing, ...]:
    def open_on(moment: datetime | None) -> bool:
        return moment is None or rules.local_day(moment, card.zone) > on

    return tuple(
        Owing(
            slug=one.duty.slug,
            title=one.duty.title,
            number=one.duty.number,
            by_day=one.duty.due_on,
            to_read=open_on(one.read_at),
            to_answer=one.duty.asks and open_on(one.answered_at),
            overdue=one.duty.due_on < on,
        )
        for one in past.asked
        if one.duty.landed_on <= on and open_on(one.settled_at)
    )


def standings(person_ids: Iterable[int], *, on: date) -> dict[tuple[int, int], CardFace]:
    """Return, for each person and scheme, the card that counts on a day: the newest issued by then. Three queries."""
    held = cards().filter(person_id__in=person_ids, valid_from__lte=on).order_by("valid_from", "pk")
    return newest(faces(held, on=on))


def newest(oldest_first: Iterable[CardFace]) -> dict[tuple[int, int], CardFace]:
    """Keep, for each person and scheme, the last of the cards issued by the day they are asked about."""
    return {(shown.person_id, shown.scheme_id): shown for shown in oldest_first}


def history(card: Card) -> list[tuple[date, str, str, str]]:
    """Return what happened to a card, oldest first: day, act, by whom, in whose words."""
    measures = card.measures.select_related("by")
    confirmations = card.confirmations.select_related("by")
    acts = [(each.on, each.at, each.get_step_display(), each.by.name, each.reason) for each in measures]
    for each in confirmations:
        act = _("work confirmed, %(shots)d bonds") if not each.doubts else _("doubt entered, %(shots)d bonds")
        acts.append((each.on, each.entered_at, act % {"shots": each.shots}, each.by.name, each.evidence))
    return [(on, act, by, words) for on, _at, act, by, words in sorted(acts, key=lambda each: each[:2])]


def check(number: str, *, at: datetime, says: code.CardCode | None = None) -> Checked:
    """Answer whether to let the holder of that number work; `says` is what a genuine code of the card claims."""
    card = card_numbered(number)
    if card is None:
        return _refused(_("The register has no card of that number."), at)
    shown = face(card, on=rules.local_day(at, card.zone))
    doubts = [shown.warning] if shown.warning else []
    if says is not None and (says.name, says.last_day) != (shown.holder, shown.last_day):
        doubts.append(_("The name or the last day in the code is not what the register says."))
    answer = Answer.TELEPHONE if doubts else Answer.ACCEPT
    return Checked(
        answer=answer if shown.holds else Answer.REFUSE,
        reasons=(shown.reason, *doubts),
        at=at.astimezone(ZoneInfo(card.zone)),
        zone=card.zone,
        face=shown,
    )


def check_code(pasted: str, *, at: datetime) -> Checked:
    """Answer for a pasted code: first its signature, then the register."""
    pairs = CardKey.objects.values_list("key_id", "public")
    keys = {bytes.fromhex(name): bytes.fromhex(public) for name, public in pairs}
    try:
        says = code.unseal(code.fragment(pasted), keys)
    except code.CodeRefused:
        return _refused(_("The code was not signed here, or it was not read whole. Type the card number instead."), at)
    return check(says.number, at=at, says=says)


def _refused(sentence: str, at: datetime) -> Checked:
    return Checked(answer=Answer.REFUSE, reasons=(sentence,), at=at.astimezone(UTC), zone="UTC")


def code_url(shown: CardFace) -> str:
    """Return the address printed as the code of a card. Raises KeyUnavailable; ValueError for too long a name."""
    says = code.CardCode(
        name=shown.holder,
        number=shown.number,
        scheme=f"{shown.scheme_slug}/{shown.issue}",
        valid_from=shown.valid_from,
        last_day=shown.last_day,
        confirm_by=shown.confirmed_to,
        issued_on=shown.issued_on,
    )
    return f"{settings.SITE_URL}{reverse('cards:check').rstrip('/')}#{code.seal(says, signing_key())}"


def signing_key() -> Ed25519PrivateKey:
    """Load the key that signs cards, at each use, so that a new one counts at once. Raises KeyUnavailable."""
    path = Path(settings.CARD_KEY_FILE)
    try:
        mode, pem = path.stat().st_mode, path.read_bytes()
    except OSError:
        raise KeyUnavailable(_("There is no key to sign cards with: run manage.py make_card_key.")) from None
    if stat.S_IMODE(mode) & 0o077:
        raise KeyUnavailable(_("Others can read the key that signs cards: set the mode of its file to 0400."))
    key = load_pem_private_key(pem, password=None)
    if not isinstance(key, Ed25519PrivateKey):
        raise KeyUnavailable(_("The key that signs cards is not an Ed25519 key."))
    if not CardKey.objects.filter(public=key.public_key().public_bytes_raw().hex()).exists():
        raise KeyUnavailable(_("The key that signs cards is not in the register: run manage.py make_card_key."))
    return key


def steps_for(shown: CardFace) -> list[tuple[str, str]]:
    """Return the measures that may be taken on a card, as choices of a form."""
    words = {Step.SUSPENDED: _("Suspend"), Step.REINSTATED: _("Reinstate"), Step.WITHDRAWN: _("Withdraw for good")}
    return [(step.value, words[step]) for step in rules.allowed_steps(shown.standing)]


def _reason(state: State, card: Card, *, renewal_open: bool) -> str:
    # A card may be due for a changed procedure long before its renewal opens.
    standing = Standing.CURRENT if state.standing is Standing.DUE and not renewal_open else state.standing
    words = str(REASONS[standing]) % {"day": date_format(state.day)}
    grace = rules.add_months(card.last_day, card.grace_months)
    if state.standing is Standing.LAPSED:
        more = _("No work under this card. The way of renewal stays open to %(day)s.")
        return f"{words} {more % {'day': date_format(grace)}}"
    return words


def _warning(state: State) -> str:
    since = {
        Standing.WORK_NOT_CONFIRMED: state.unconfirmed_since,
        Standing.PROCEDURE_OVERDUE: state.owed_since,
    }
    return " ".join(str(REASONS[why]) % {"day": date_format(day)} for why, day in since.items() if day)
