"""How cards stand: one card's face, many people's standings, what happened to a card."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet
from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.cards import rules
from certs.cards.models import Card, Past, pasts
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
    """A card as it stands on a day, `asked_on`. `reason` is a sentence, `warning` is empty or more of them.

    `owed` is what changed procedures still ask, while the card is in force or stopped by that alone.
    """

    number: str
    card_id: int
    person_id: int
    scheme_id: int
    holder: str
    employer: str
    issuer: str
    scheme: str
    scheme_slug: str
    issue: int
    language: str
    scope: str
    limits: str
    held_since: date
    valid_from: date
    last_day: date
    zone: str
    confirmed_to: date
    renew_from: date
    renewal_open: bool
    issued_on: date
    asked_on: date
    standing: Standing
    day: date
    reason: str
    warning: str
    owed: tuple[Owing, ...]

    @property
    def holds(self) -> bool:
        """Whether the card may be worked under on the day asked about."""
        return self.standing.holds


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
        card_id=card.pk,
        person_id=card.person_id,
        scheme_id=card.scheme_id,
        holder=card.holder_name,
        employer=card.person.employer.name,
        issuer=card.issuer_name,
        scheme=card.scheme_issue.title,
        scheme_slug=card.scheme.slug,
        issue=card.scheme_issue.number,
        language=card.person.language or card.scheme_issue.body.get("language", "en"),
        scope=card.scope,
        limits=card.limits,
        held_since=card.held_since,
        valid_from=card.valid_from,
        last_day=card.last_day,
        zone=card.zone,
        confirmed_to=rules.confirm_by(facts, on=on),
        renew_from=renew_from,
        renewal_open=renewal_open,
        issued_on=rules.local_day(card.issued_at, card.zone),
        asked_on=on,
        standing=state.standing,
        day=state.day,
        reason=_reason(state, card, renewal_open=renewal_open),
        warning=warning(state),
        owed=owed(past, card.zone, on=on) if state.standing in OWING else (),
    )


def faces(cards: Iterable[Card], *, on: date) -> list[CardFace]:
    """Say how each of many cards stands on a day, in two queries more than loaded the cards."""
    found = list(cards)
    known = pasts(found)
    return [face(card, on=on, past=known[card.pk]) for card in found]


def owed(past: Past, zone: str, *, on: date) -> tuple[Owing, ...]:
    """Return what the holder of a card of a zone still has to do about changed procedures on a day."""

    def open_on(moment: datetime | None) -> bool:
        return moment is None or rules.local_day(moment, zone) > on

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
    held = cards().filter(person_id__in=person_ids).newest_on(on)  # type: ignore[attr-defined]
    return newest(faces(held, on=on))


def newest(oldest_first: Iterable[CardFace]) -> dict[tuple[int, int], CardFace]:
    """Keep, for each person and scheme, the last of the cards issued by the day they are asked about."""
    return {(shown.person_id, shown.scheme_id): shown for shown in oldest_first}


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


def warning(state: State) -> str:
    """Say what is late while work goes on, or nothing."""
    since = {
        Standing.WORK_NOT_CONFIRMED: state.unconfirmed_since,
        Standing.PROCEDURE_OVERDUE: state.owed_since,
    }
    return " ".join(str(REASONS[why]) % {"day": date_format(day)} for why, day in since.items() if day)
