"""Cards, what happened to them, and the public halves of the keys that sign them."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date
from typing import Any, ClassVar

from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery, Value
from django.db.models.functions import Cast, Concat, TruncDate
from django.utils.translation import gettext_lazy as _

from certs.cards.rules import Facts, Owed, Step, local_day
from certs.schemes.models import Scheme, SchemeIssue
from training.bridges.models import Bridge
from training.bridges.queries import Duties, duties
from training.bridges.rules import Progress
from training.content.demands import Demand, Overdue
from training.content.schemes import Unconfirmed
from training.people.models import Person
from training.procedures.models import Reading, Revision

STEP_WORDS = {
    Step.SUSPENDED: _("suspended"),
    Step.REINSTATED: _("reinstated"),
    Step.WITHDRAWN: _("withdrawn"),
    Step.REPLACED: _("replaced"),
}

UNCONFIRMED_WORDS = {
    Unconfirmed.STOPS: _("the card stops"),
    Unconfirmed.WARNS: _("the card warns"),
}


class LocalDay(models.Func):
    """The day it is at a moment in the zone that another column names; TruncDate knows fixed zones only."""

    output_field = models.DateField()

    def as_sqlite(self, compiler: Any, connection: Any, **extra: Any) -> Any:
        """Use the function that Django gives SQLite for its own dates."""
        return self.as_sql(compiler, connection, template="django_datetime_cast_date(%(expressions)s, 'UTC')", **extra)

    def as_postgresql(self, compiler: Any, connection: Any, **extra: Any) -> Any:
        """Turn the moment into the wall clock of the zone, then into its date."""
        return self.as_sql(
            compiler, connection, template="(%(expressions)s)::date", arg_joiner=" AT TIME ZONE ", **extra
        )


class CardQuerySet(models.QuerySet["Card"]):
    """Cards, asked as of a day."""

    def valid_on(self, on: date) -> "CardQuerySet":
        """Keep the cards that may be worked under on a day: `rules.standing(...).holds`, in SQL."""
        taken = Measure.objects.filter(card=OuterRef("pk"), on__lte=on)
        ended = taken.filter(step__in=[Step.WITHDRAWN, Step.REPLACED])
        pauses = taken.filter(step__in=[Step.SUSPENDED, Step.REINSTATED]).order_by("-on", "-pk")
        # A late confirmation counts only where the scheme merely warns, and there none is needed.
        confirmed = Confirmation.objects.filter(
            card=OuterRef("pk"), doubts=False, on__lte=on, due_on__gte=F("on"), next_due_on__gte=on
        )
        return (
            self.filter(valid_from__lte=on, last_day__gte=on)
            .filter(Q(unconfirmed=Unconfirmed.WARNS) | Q(confirm_by__gte=on) | Exists(confirmed))
            .exclude(Exists(ended))
            .alias(pause=Subquery(pauses.values("step")[:1]))
            .filter(Q(pause__isnull=True) | ~Q(pause=Step.SUSPENDED))
            .exclude(Exists(_stopping(on)))
        )


def _stopping(on: date) -> models.QuerySet[Revision]:
    """Return the revisions that stop the card of the outer query on a day: late, and neither done nor out of use."""
    # The modules of an issue are a JSON list of slugs, which hold no quotes: its text is searched on either database.
    modules = Cast(OuterRef("scheme_issue__body__modules"), models.TextField())
    card = OuterRef(OuterRef("person")), OuterRef(OuterRef("zone"))
    read = _by_day(Reading.objects.filter(revision__module=OuterRef("module")), "read_at", card, on)
    answered = _by_day(Bridge.objects.filter(revision=OuterRef("pk")), "answered_at", card, on)
    return (
        Revision.objects.filter(overdue=Overdue.STOPS, due_on__lt=on)
        .alias(
            modules=modules,
            quoted=Concat(Value('"'), "module__slug", Value('"')),
            landed_on=TruncDate("loaded_at", tzinfo=UTC),
            ended_on=LocalDay("module__retired_at", OuterRef("zone")),
        )
        .filter(modules__contains=F("quoted"), landed_on__gte=OuterRef("valid_from"))
        .filter(Q(ended_on__isnull=True) | Q(ended_on__gt=on))
        .exclude(
            Exists(read.filter(revision__number__gte=OuterRef("number")))
            & (~Q(demand=Demand.ANSWER) | Exists(answered))
        )
    )


def _by_day(rows: Any, moment: str, card: tuple[Any, Any], on: date) -> Any:
    person, zone = card
    return rows.alias(day=LocalDay(moment, zone)).filter(person=person, day__lte=on)


@dataclass(frozen=True, slots=True)
class Past:
    """What happened to a card, and how far its holder is with what changed procedures ask."""

    measures: tuple[tuple[Step, date], ...]
    confirmed_on: tuple[date, ...]
    asked: tuple[Progress, ...]


def pasts(cards: Iterable["Card"]) -> dict[int, Past]:
    """Return the past of each card in two queries, however many they are."""
    found = list(cards)
    taken = Measure.objects.filter(card__in=found).annotate(what=F("step")).values_list("card", "what", "on", "pk")
    confirmed = Confirmation.objects.filter(card__in=found, doubts=False).annotate(what=Value(""))
    acts: dict[int, list[tuple[int, str, date]]] = defaultdict(list)
    for card, what, on, pk in taken.union(confirmed.values_list("card", "what", "on", "pk"), all=True):
        acts[card].append((pk, what, on))
    asked = duties({card.person_id for card in found})
    return {card.pk: _past(card, sorted(acts[card.pk]), asked) for card in found}


def _past(card: "Card", acts: list[tuple[int, str, date]], asked: Duties) -> Past:
    modules = card.scheme_issue.body["modules"]
    return Past(
        measures=tuple((Step(what), on) for _pk, what, on in acts if what),
        confirmed_on=tuple(on for _pk, what, on in acts if not what),
        # Whoever was examined after it landed was examined on it.
        asked=tuple(
            one
            for one in asked.of(card.person_id)
            if one.duty.slug in modules and one.duty.landed_on >= card.valid_from
        ),
    )


class Card(models.Model):
    """A competency card as issued, with the terms of its scheme; standing is computed for a day, never stored."""

    number = models.CharField(_("card number"), max_length=16, unique=True)
    person = models.ForeignKey(Person, models.PROTECT, related_name="cards")
    scheme = models.ForeignKey(Scheme, models.PROTECT, related_name="cards")
    scheme_issue = models.ForeignKey(SchemeIssue, models.PROTECT, related_name="cards")
    # Named, not imported: the sign-off that earned the card lies a floor above, the evidence must not be lost.
    evidence = models.OneToOneField("certs.Signoff", models.PROTECT, related_name="card")
    holder_name = models.CharField(_("holder"), max_length=120)
    issuer_name = models.CharField(_("issued by"), max_length=120)
    scope = models.TextField(_("scope"))
    limits = models.TextField(_("limits"), blank=True)
    anchor = models.DateField(_("first day of the first cycle"))
    months = models.PositiveSmallIntegerField(_("months counted from that day"))
    valid_from = models.DateField(_("valid from"))
    last_day = models.DateField(_("valid to the end of"))
    zone = models.CharField(_("time zone"), max_length=64)
    confirm_by = models.DateField(_("work first to be confirmed by"))
    confirm_months = models.PositiveSmallIntegerField()
    unconfirmed = models.CharField(max_length=8, choices=[(u.value, w) for u, w in UNCONFIRMED_WORDS.items()])
    renew_months = models.PositiveSmallIntegerField()
    grace_months = models.PositiveSmallIntegerField()
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
                condition=Q(unconfirmed__in=[what.value for what in Unconfirmed]),
                name="certs_card_known_unconfirmed",
                violation_error_message=_("Unconfirmed work either stops a card or warns."),
            ),
            models.CheckConstraint(
                condition=~Q(issued_by=F("person")),
                name="certs_card_not_to_oneself",
                violation_error_message=_("Nobody issues their own card: another person must."),
            ),
            models.UniqueConstraint(
                fields=["person", "scheme"],
                condition=Q(closed_at__isnull=True),
                name="certs_card_one_open",
                violation_error_message=_("This person already holds a card of this scheme."),
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["scheme", "last_day"])]

    def __str__(self) -> str:
        return self.number

    def facts(self, past: Past | None = None) -> Facts:
        """Return what the standing depends on; for many cards at once, `pasts` loads what happened to them."""
        past = past or pasts([self])[self.pk]
        return Facts(
            valid_from=self.valid_from,
            last_day=self.last_day,
            renew_months=self.renew_months,
            grace_months=self.grace_months,
            confirm_by=self.confirm_by,
            confirm_months=self.confirm_months,
            unconfirmed=Unconfirmed(self.unconfirmed),
            confirmed_on=past.confirmed_on,
            measures=past.measures,
            owed=tuple(self._owed(one) for one in past.asked),
        )

    def _owed(self, asked: Progress) -> Owed:
        settled = asked.settled_at
        return Owed(asked.duty.due_on, asked.duty.stops, local_day(settled, self.zone) if settled else None)


class Measure(models.Model):
    """A dated, reasoned act on a card by a named person."""

    card = models.ForeignKey(Card, models.PROTECT, related_name="measures")
    step = models.CharField(max_length=12, choices=[(s.value, w) for s, w in STEP_WORDS.items()])
    on = models.DateField(_("takes effect on"))
    at = models.DateTimeField()
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.TextField(_("reason"))

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(step__in=[step.value for step in Step]),
                name="certs_measure_known_step",
                violation_error_message=_("Choose one of the measures in the list."),
            ),
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="certs_measure_has_reason",
                violation_error_message=_("Write the reason: it stays on the record."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.card_id} {self.step} {self.on}"


class Confirmation(models.Model):
    """A supervisor's confirmation that the holder has been doing the work."""

    card = models.ForeignKey(Card, models.PROTECT, related_name="confirmations")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    on = models.DateField(_("day of confirmation"))
    entered_on = models.DateField()
    entered_at = models.DateTimeField()
    due_on = models.DateField(help_text=_("the due day that this confirmation answered"))
    next_due_on = models.DateField(help_text=_("the due day that follows from this one"))
    shots = models.PositiveIntegerField(_("bonds made since the last confirmation"))
    evidence = models.TextField(_("evidence, such as job numbers"))
    doubts = models.BooleanField(_("there is doubt about this person's skill"), default=False)

    class Meta:
        constraints: ClassVar = [
            # Back-dating would mend a lapse after the fact, so the day is the day of entry.
            models.CheckConstraint(
                condition=Q(on=F("entered_on")),
                name="certs_confirmation_not_back_dated",
                violation_error_message=_("A confirmation counts from the day it is entered."),
            ),
            models.CheckConstraint(
                condition=~Q(evidence=""),
                name="certs_confirmation_has_evidence",
                violation_error_message=_("Name the evidence, such as job numbers."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.card_id} confirmed {self.on}"


class CardKey(models.Model):
    """The public half of a key that signs cards."""

    key_id = models.CharField(max_length=8, unique=True)
    public = models.CharField(max_length=64, help_text=_("32 bytes, hexadecimal"))
    signs_from = models.DateField()

    def __str__(self) -> str:
        return self.key_id
