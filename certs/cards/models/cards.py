"""Cards as issued, and the public halves of the keys that sign them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, fields
from datetime import date
from typing import Any, ClassVar, Protocol

from django.db import models
from django.db.models import F, Q, Value
from django.utils.translation import gettext_lazy as _

from certs.cards import rules
from certs.cards.models.acts import Confirmation, Measure
from certs.cards.models.as_of import CardQuerySet
from certs.cards.rules import Facts, Ground, Kept, Owed, Step, local_day
from certs.schemes.models import Scheme, SchemeIssue
from training.bridges.queries import Duties, duties
from training.bridges.rules import Progress
from training.content.schemes import Unconfirmed
from training.people.models import Person
from training.prepared import Blank, Prepared

GROUND_WORDS = {
    Ground.PRACTICAL: _("issued on a practical"),
    Ground.LOST: _("issued for a lost card"),
    Ground.REDUCED: _("issued with a reduced scope"),
}
UNCONFIRMED_WORDS = {
    Unconfirmed.STOPS: _("the card stops"),
    Unconfirmed.WARNS: _("the card warns"),
}


@dataclass(frozen=True, slots=True)
class Past:
    """What happened to a card, and how far its holder is with what changed procedures ask."""

    measures: tuple[tuple[Step, date], ...]
    confirmed_on: tuple[date, ...]
    asked: tuple[Progress, ...]


KEPT = tuple(one.name for one in fields(Kept))


class Terms(Protocol):
    """What the standing of a card depends on, beside its past: a card, or a row of a long list."""

    @property
    def pk(self) -> int: ...  # noqa: D102
    @property
    def person_id(self) -> int: ...  # noqa: D102
    @property
    def modules(self) -> Sequence[str]: ...  # noqa: D102

    held_since: date
    valid_from: date
    last_day: date
    zone: str
    renew_months: int
    grace_months: int
    confirm_by: date
    confirm_months: int
    unconfirmed: str


def _acts() -> Any:
    taken = Measure.objects.filter(card__among=Blank("cards")).annotate(what=F("step"))
    confirmed = Confirmation.objects.filter(card__among=Blank("cards"), doubts=False).annotate(what=Value(""))
    columns = ("card", "what", "on", "pk")
    return taken.values_list(*columns).union(confirmed.values_list(*columns), all=True)


ACTS = Prepared(_acts)


def pasts(cards: Iterable[Terms]) -> dict[int, Past]:
    """Return the past of each card in two queries, however many they are."""
    found = list(cards)
    acts = _acts_on([card.pk for card in found])
    asked = duties({card.person_id for card in found})
    return {card.pk: _past(acts[card.pk], _of_card(card, asked)) for card in found}


def _acts_on(cards: list[int]) -> dict[int, list[tuple[int, str, date]]]:
    acts: dict[int, list[tuple[int, str, date]]] = defaultdict(list)
    for card, what, on, pk in ACTS.rows(cards=cards):
        acts[card].append((pk, what, on))
    return acts


def _of_card(card: Terms, asked: Duties) -> tuple[Progress, ...]:
    # Whoever was examined after it landed was examined on it.
    return tuple(
        one
        for one in asked.of(card.person_id)
        if one.duty.slug in card.modules and one.duty.landed_on >= card.held_since
    )


def _past(acts: list[tuple[int, str, date]], asked: tuple[Progress, ...]) -> Past:
    return Past(
        measures=tuple((Step(what), on) for _pk, what, on in sorted(acts) if what),
        confirmed_on=tuple(on for _pk, what, on in sorted(acts) if not what),
        asked=asked,
    )


def facts_of(card: Terms, past: Past) -> Facts:
    """Return what the standing of a card depends on."""
    return Facts(
        valid_from=card.valid_from,
        last_day=card.last_day,
        renew_months=card.renew_months,
        grace_months=card.grace_months,
        confirm_by=card.confirm_by,
        confirm_months=card.confirm_months,
        unconfirmed=Unconfirmed(card.unconfirmed),
        confirmed_on=past.confirmed_on,
        measures=past.measures,
        owed=tuple(_owed(one, card.zone) for one in past.asked),
    )


def _owed(asked: Progress, zone: str) -> Owed:
    settled = asked.settled_at
    return Owed(asked.duty.due_on, asked.duty.stops, local_day(settled, zone) if settled else None)


OF_A_DAY = (
    *("person", "scheme", "valid_from", "id", "last_day", "renew_from", "confirm_next", "confirmed_on", "measured_on"),
    *("followed_on", "unconfirmed", "number", "zone", "scheme_issue", "held_since", "confirm_by"),
)


class Card(models.Model):
    """A competency card as issued, with the terms of its scheme; standing is computed for a day, never stored."""

    number = models.CharField(_("card number"), max_length=16, unique=True)
    person = models.ForeignKey(Person, models.PROTECT, related_name="cards")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="cards")
    scheme_issue = models.ForeignKey(SchemeIssue, models.PROTECT, related_name="cards")
    # Named, not imported: the sign-off that earned the card lies a floor above, the evidence must not be lost.
    evidence = models.ForeignKey("certs.Signoff", models.PROTECT, related_name="cards")
    ground = models.CharField(max_length=10, choices=[(g.value, w) for g, w in GROUND_WORDS.items()])
    stands_for = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="stood_in_by")
    holder_name = models.CharField(_("holder"), max_length=120)
    issuer_name = models.CharField(_("issued by"), max_length=120)
    scope = models.TextField(_("scope"))
    limits = models.TextField(_("limits"), blank=True)
    anchor = models.DateField(_("first day of the first cycle"))
    months = models.PositiveSmallIntegerField(_("months counted from that day"))
    # The first day of the card issued on the tests, also under another number: what came before was examined.
    held_since = models.DateField(_("held since"))
    valid_from = models.DateField(_("valid from"))
    last_day = models.DateField(_("valid to the end of"))
    zone = models.CharField(_("time zone"), max_length=64)
    confirm_by = models.DateField(_("work first to be confirmed by"))
    confirm_months = models.PositiveSmallIntegerField()
    unconfirmed = models.CharField(max_length=8, choices=[(u.value, w) for u, w in UNCONFIRMED_WORDS.items()])
    renew_months = models.PositiveSmallIntegerField()
    grace_months = models.PositiveSmallIntegerField()
    # Days that follow from the terms and from what happened since, kept with each act, so that a list of a hundred
    # thousand cards reads them here. They are days, not a standing; a card by itself is told from its acts.
    renew_from = models.DateField(_("renewal opens on"))
    confirm_next = models.DateField(_("work next to be confirmed by"))
    confirmed_on = models.DateField(_("work last confirmed on"), null=True, blank=True)
    measured_on = models.DateField(_("first measure on"), null=True, blank=True)
    # The first day of the next card of this person and scheme, which counts from then on.
    followed_on = models.DateField(_("followed by another on"), null=True, blank=True)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    # Set with the measure that closes a card for good; it carries the constraint below, standing is not read from it.
    closed_at = models.DateTimeField(null=True, blank=True)

    objects = CardQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("valid_from")),
                name="certs_card_ends_after_it_starts",
                violation_error_message=_("A card cannot end before it starts."),
            ),
            models.CheckConstraint(
                condition=Q(anchor__lte=F("valid_from")),
                name="certs_card_counted_from_its_tests",
                violation_error_message=_("A card cannot start before its tests were passed."),
            ),
            models.CheckConstraint(
                condition=Q(confirm_by__gte=F("valid_from")),
                name="certs_card_confirmed_after_it_starts",
                violation_error_message=_("Work would have to be confirmed before the card starts."),
            ),
            models.CheckConstraint(
                condition=Q(confirm_next__gte=F("confirm_by")),
                name="certs_card_confirmed_onwards",
                violation_error_message=_("A confirmation cannot make work due earlier."),
            ),
            models.CheckConstraint(
                condition=Q(followed_on__isnull=True) | Q(followed_on__gte=F("valid_from"), closed_at__isnull=False),
                name="certs_card_followed_once_closed",
                violation_error_message=_("Another card follows one that is closed, and starts no earlier."),
            ),
            models.CheckConstraint(
                condition=Q(renew_from__lte=F("last_day")),
                name="certs_card_renewed_before_it_ends",
                violation_error_message=_("Renewal cannot open after the last day."),
            ),
            # They are put into files of many cards as they stand.
            models.CheckConstraint(
                condition=~Q(number__contains='"') & ~Q(zone__contains='"'),
                name="certs_card_without_quotes",
                violation_error_message=_("Neither a card number nor a time zone holds quotation marks."),
            ),
            models.CheckConstraint(
                condition=Q(unconfirmed__in=[what.value for what in Unconfirmed]),
                name="certs_card_known_unconfirmed",
                violation_error_message=_("Unconfirmed work either stops a card or warns."),
            ),
            models.CheckConstraint(
                condition=~Q(issued_by=F("person")),
                name="certs_card_not_to_oneself",
                violation_error_message=_("Nobody issues their own card: another person must."),
            ),
            models.CheckConstraint(
                condition=Q(held_since__lte=F("valid_from")),
                name="certs_card_held_before_this_number",
                violation_error_message=_("A card cannot be held from a day after it starts."),
            ),
            models.CheckConstraint(
                condition=Q(ground=Ground.PRACTICAL.value, stands_for__isnull=True)
                | Q(ground__in=[Ground.LOST.value, Ground.REDUCED.value], stands_for__isnull=False),
                name="certs_card_stands_for_another",
                violation_error_message=_("A card follows from a practical, or stands in for another card."),
            ),
            models.UniqueConstraint(
                fields=["evidence"],
                condition=Q(stands_for__isnull=True),
                name="certs_card_one_a_practical",
                violation_error_message=_("This practical has earned its card already."),
            ),
            models.UniqueConstraint(
                fields=["person", "scheme"],
                condition=Q(closed_at__isnull=True),
                name="certs_card_one_open",
                violation_error_message=_("This person already holds a card of this scheme."),
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["scheme", "last_day"]),
            # Which of a person's cards counts on a day, with all that tells how it stands: the rows are wide.
            models.Index(fields=OF_A_DAY, name="certs_card_of_a_day"),
            # Whose cards end within some days.
            models.Index(fields=["person", "last_day"], name="certs_card_ends"),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def modules(self) -> Sequence[str]:
        """The slugs of the modules that its scheme names."""
        return self.scheme_issue.body["modules"]  # type: ignore[no-any-return]

    def keep(self) -> None:
        """Put beside the facts the days that follow from them; whoever changes the facts saves both."""
        acts = _acts_on([self.pk])[self.pk] if self.pk else []
        for name, day in asdict(rules.kept(self.facts(_past(acts, ())))).items():
            setattr(self, name, day)

    def facts(self, past: Past | None = None) -> Facts:
        """Return what the standing depends on; for many cards at once, `pasts` loads what happened to them."""
        return facts_of(self, past or pasts([self])[self.pk])
