"""Cards as of a day: `rules.standing` once more, in SQL, for lists too long to load."""

from collections.abc import Callable
from datetime import UTC, date
from typing import Any

from django.db import models
from django.db.models import Case, Exists, F, OuterRef, Q, Subquery, Value, When
from django.db.models.functions import Cast, Coalesce, Concat, Greatest, TruncDate
from django.db.models.lookups import Exact, IsNull, LessThanOrEqual

from certs.cards.models.acts import Confirmation, Measure
from certs.cards.rules import Standing, Step
from training.bridges.models import Bridge
from training.content.demands import Demand, Overdue
from training.content.schemes import Unconfirmed
from training.procedures.models import Reading, Revision


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


class MonthsBefore(models.Func):
    """The same day so many months earlier, clipped to the month's end: `rules.add_months` of less than nothing."""

    output_field = models.DateField()

    def as_sqlite(self, compiler: Any, connection: Any, **extra: Any) -> Any:
        """Take the months off; `floor` clips where SQLite would run on into the next month."""
        template = "date(%(expressions)s || ' months', 'floor')"
        return self.as_sql(compiler, connection, template=template, arg_joiner=", '-' || ", **extra)

    def as_postgresql(self, compiler: Any, connection: Any, **extra: Any) -> Any:
        """Take the months off; an interval of months clips by itself."""
        template = "(%(expressions)s * interval '1 month')::date"
        return self.as_sql(compiler, connection, template=template, arg_joiner=" - ", **extra)


class CardQuerySet(models.QuerySet["Card"]):  # type: ignore[name-defined]
    """Cards, asked as of a day."""

    def newest_on(self, on: date) -> "CardQuerySet":
        """Keep, for each person and scheme, the card that counts on a day: the newest issued by then."""
        newer = Q(valid_from__gt=OuterRef("valid_from")) | Q(valid_from=OuterRef("valid_from"), pk__gt=OuterRef("pk"))
        same = self.model._default_manager.filter(person=OuterRef("person"), scheme=OuterRef("scheme"))
        return self.filter(~Exists(same.filter(newer, valid_from__lte=on)), valid_from__lte=on)

    def with_standing_on(self, on: date) -> "CardQuerySet":
        """Give every card its `standing` on a day."""
        return self.annotate(standing=standing_on(on))

    def that_stand(self, standing: Standing, on: date) -> "CardQuerySet":
        """Keep the cards with a standing on a day. What would count only after it is not looked at."""
        order = _in_order(on)
        last = max((place for place, (_condition, one) in enumerate(order) if one == standing), default=len(order))
        whens = [When(condition, then=Value(one == standing)) for condition, one in order[: last + 1]]
        is_it = Case(*whens, default=Value(standing == Standing.CURRENT), output_field=models.BooleanField())
        return self.filter(is_it)

    def with_plain_standing_on(self, on: date) -> "CardQuerySet":
        """Give every card issued by a day its `standing` on it, but an empty text where more is to be said than that.

        Work is late while it goes on, or a changed procedure still asks for something. Quicker than the other: what
        comes of measures is looked for where there is one.
        """
        return self.annotate(standing=_plain_standing_on(on))

    def valid_on(self, on: date) -> "CardQuerySet":
        """Keep the cards that may be worked under on a day."""
        stops = [When(condition, then=Value(False)) for condition, standing in _in_order(on) if not standing.holds]
        holds = Case(*stops, default=Value(True), output_field=models.BooleanField())
        return self.filter(holds, valid_from__lte=on, last_day__gte=on)

    def confirmed_to_on(self, on: date) -> "CardQuerySet":
        """Give every card the day by which work has to be confirmed next, `confirmed_to`, as known on a day."""
        latest = _confirmations(on).order_by("-next_due_on").values("next_due_on")[:1]
        # Where there is no confirmation, one database would find nothing the greatest.
        return self.annotate(confirmed_to=Greatest("confirm_by", Coalesce(Subquery(latest), "confirm_by")))


def there_is(rows: models.QuerySet[Any]) -> IsNull:
    """Ask of one row of the outer query after the other whether it has one of these.

    Where EXISTS says the same, PostgreSQL may look for all of them first, and a page or a batch needs few.
    """
    return IsNull(Subquery(rows.order_by().values("pk")[:1]), False)


def standing_on(on: date, *, some: Callable[[models.QuerySet[Any]], Any] = Exists) -> Case:
    """Return what the card of the outer query is worth on a day: `rules.standing` as one expression, in its order.

    Which due day a confirmation answered and which follows was written down with it, as the rule had it on that day.
    `some` is `there_is` for few cards.
    """
    return _first_of(*_in_order(on, some=some))


def _in_order(on: date, *, some: Callable[[models.QuerySet[Any]], Any] = Exists) -> tuple[tuple[Any, Standing], ...]:
    """Return what makes a standing, with it; the first that is so counts. Those that may be worked under come last."""
    taken, late = _taken(on), _late(on)
    pauses = taken.filter(step__in=[Step.SUSPENDED, Step.REINSTATED]).order_by("-on", "-pk")
    return (
        (some(taken.filter(step=Step.WITHDRAWN)), Standing.WITHDRAWN),
        (some(taken.filter(step=Step.REPLACED)), Standing.REPLACED),
        (Q(valid_from__gt=on), Standing.NOT_YET_VALID),
        (Q(last_day__lt=on), Standing.LAPSED),
        (Exact(Subquery(pauses.values("step")[:1]), Value(Step.SUSPENDED.value)), Standing.SUSPENDED),
        (_unconfirmed(on, Unconfirmed.STOPS), Standing.WORK_NOT_CONFIRMED),
        (Exists(late.filter(overdue=Overdue.STOPS)), Standing.PROCEDURE_OVERDUE),
        (_renewing(on), Standing.DUE),
        (Exists(late), Standing.DUE),
    )


def _plain_standing_on(on: date) -> Case:
    return _first_of(
        (_unconfirmed(on, Unconfirmed.WARNS) | Exists(_asking(on)), Value("")),
        (there_is(_taken(on)), standing_on(on, some=there_is)),
        (Q(last_day__lt=on), Standing.LAPSED),
        (_unconfirmed(on, Unconfirmed.STOPS), Standing.WORK_NOT_CONFIRMED),
        (_renewing(on), Standing.DUE),
    )


def _first_of(*whens: tuple[Any, Any]) -> Case:
    cases = [When(condition, then=Value(one.value) if isinstance(one, Standing) else one) for condition, one in whens]
    return Case(*cases, default=Value(Standing.CURRENT.value), output_field=models.CharField())


def _taken(on: date) -> models.QuerySet[Measure]:
    return Measure.objects.filter(card=OuterRef("pk"), on__lte=on)


def _renewing(on: date) -> LessThanOrEqual:
    return LessThanOrEqual(MonthsBefore("last_day", "renew_months"), Value(on))


def _unconfirmed(on: date, then: Unconfirmed) -> Q:
    """Ask for a card whose work is not confirmed by the day, and of which its scheme says `then` for that."""
    return Q(unconfirmed=then, confirm_by__lt=on) & ~Exists(_confirmations(on).filter(next_due_on__gte=on))


def _confirmations(on: date) -> models.QuerySet[Confirmation]:
    """Return the confirmations of the outer card that count by a day; a late one only where the card merely warns."""
    in_time = Q(due_on__gte=F("on")) | Q(Exact(OuterRef("unconfirmed"), Value(Unconfirmed.WARNS.value)))
    return Confirmation.objects.filter(in_time, card=OuterRef("pk"), doubts=False, on__lte=on)


def _late(on: date) -> models.QuerySet[Revision]:
    """Return the revisions the holder of the outer card is late with: neither done nor out of use."""
    return _asking(on).filter(due_on__lt=on)


def _asking(on: date) -> models.QuerySet[Revision]:
    """Return the revisions that ask something of the holder of the outer card: neither done by a day nor out of use."""
    # The modules of an issue are a JSON list of slugs, which hold no quotes: its text is searched on either database.
    modules = Cast(OuterRef("scheme_issue__body__modules"), models.TextField())
    card = OuterRef(OuterRef("person")), OuterRef(OuterRef("zone"))
    read = _by_day(Reading.objects.filter(revision__module=OuterRef("module")), "read_at", card, on)
    answered = _by_day(Bridge.objects.filter(revision=OuterRef("pk")), "answered_at", card, on)
    return (
        # Not those that ask nothing and so have no day: an index tells as much only if asked like this.
        Revision.objects.filter(due_on__gte=date.min)
        .alias(
            modules=modules,
            quoted=Concat(Value('"'), "module__slug", Value('"')),
            landed_on=TruncDate("loaded_at", tzinfo=UTC),
            ended_on=LocalDay("module__retired_at", OuterRef("zone")),
        )
        .filter(modules__contains=F("quoted"), landed_on__gte=OuterRef("held_since"))
        .filter(Q(ended_on__isnull=True) | Q(ended_on__gt=on))
        .exclude(
            Exists(read.filter(revision__number__gte=OuterRef("number")))
            & (~Q(demand=Demand.ANSWER) | Exists(answered))
        )
    )


def _by_day(rows: Any, moment: str, card: tuple[Any, Any], on: date) -> Any:
    person, zone = card
    return rows.alias(day=LocalDay(moment, zone)).filter(person=person, day__lte=on)
