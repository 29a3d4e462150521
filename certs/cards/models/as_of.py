"""Cards as of a day: `rules.standing` once more, in SQL, for lists too long to load."""

from collections.abc import Callable
from datetime import UTC, date
from typing import Any

from django.db import models
from django.db.models import Case, Exists, F, OuterRef, Q, Subquery, Value, When
from django.db.models.functions import Cast, Coalesce, Concat, Greatest, TruncDate
from django.db.models.lookups import Exact, IsNull, LessThan

from certs.cards.models.acts import Confirmation, Measure
from certs.cards.rules import Standing, Step
from certs.schemes.models import SchemeIssue
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


class CardQuerySet(models.QuerySet["Card"]):  # type: ignore[name-defined]
    """Cards, asked as of a day."""

    def newest_on(self, on: date) -> "CardQuerySet":
        """Keep, for each person and scheme, the card that counts on a day: the newest issued by then."""
        return self.filter(Q(followed_on=None) | Q(followed_on__gt=on), valid_from__lte=on)

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

    def with_plain_standing_on(self, on: date, *, asking: bool, said: Callable[[Standing], Any]) -> "CardQuerySet":
        """Give every card issued by a day its `standing` on it, as `said`, but empty where there is more to be said.

        Work is late while it goes on, or a changed procedure still asks for something; whether any procedure is
        `asking` is found out before, once. Quicker than the other: what comes of measures is looked for where there is
        one.
        """
        more = _unconfirmed(on, Unconfirmed.WARNS)
        if asking:
            more |= Q(Exists(_asking(on)))
        in_order = *_stopping(on, some=there_is), (Q(renew_from__lte=on), Standing.DUE)
        return self.annotate(standing=_first_of((more, Value("")), *in_order, said=said))

    def valid_on(self, on: date) -> "CardQuerySet":
        """Keep the cards that may be worked under on a day."""
        stops = [When(condition, then=Value(False)) for condition, standing in _in_order(on) if not standing.holds]
        holds = Case(*stops, default=Value(True), output_field=models.BooleanField())
        return self.filter(holds, valid_from__lte=on, last_day__gte=on)

    def confirmed_to_on(self, on: date) -> "CardQuerySet":
        """Give every card the day by which work has to be confirmed next, `confirmed_to`, as known on a day."""
        return self.annotate(confirmed_to=_confirmed_to(on))


def there_is(rows: models.QuerySet[Any]) -> IsNull:
    """Ask of one row of the outer query after the other whether it has one of these.

    Where EXISTS says the same, PostgreSQL may look for all of them first, and a page or a batch needs few.
    """
    return IsNull(Subquery(rows.order_by().values("pk")[:1]), False)


def standing_on(on: date) -> Case:
    """Return what the card of the outer query is worth on a day: `rules.standing` as one expression, in its order.

    Which due day a confirmation answered and which follows was written down with it, as the rule had it on that day.
    """
    return _first_of(*_in_order(on))


def _in_order(on: date) -> tuple[tuple[Any, Standing], ...]:
    """Return what makes a standing, with it; the first that is so counts. Those that may be worked under come last."""
    late = _late(on)
    return (
        *_stopping(on),
        (Exists(late.filter(overdue=Overdue.STOPS)), Standing.PROCEDURE_OVERDUE),
        (Q(renew_from__lte=on), Standing.DUE),
        (Exists(late), Standing.DUE),
    )


def _stopping(on: date, *, some: Callable[[models.QuerySet[Any]], Any] = Exists) -> tuple[tuple[Any, Standing], ...]:
    """Return what stops a card by itself; `some` is `there_is` for few cards."""
    taken = _taken(on)
    pauses = taken.filter(step__in=[Step.SUSPENDED, Step.REINSTATED]).order_by("-on", "-pk")
    paused = Exact(Subquery(pauses.values("step")[:1]), Value(Step.SUSPENDED.value))
    return (
        (_measured(on) & Q(some(taken.filter(step=Step.WITHDRAWN))), Standing.WITHDRAWN),
        (_measured(on) & Q(some(taken.filter(step=Step.REPLACED))), Standing.REPLACED),
        (Q(valid_from__gt=on), Standing.NOT_YET_VALID),
        (Q(last_day__lt=on), Standing.LAPSED),
        (_measured(on) & Q(paused), Standing.SUSPENDED),
        (_unconfirmed(on, Unconfirmed.STOPS), Standing.WORK_NOT_CONFIRMED),
    )


def _as_value(standing: Standing) -> Value:
    return Value(standing.value)


def _first_of(*whens: tuple[Any, Any], said: Callable[[Standing], Any] = _as_value) -> Case:
    cases = [When(condition, then=said(one) if isinstance(one, Standing) else one) for condition, one in whens]
    return Case(*cases, default=said(Standing.CURRENT), output_field=models.CharField())


def _taken(on: date) -> models.QuerySet[Measure]:
    return Measure.objects.filter(card=OuterRef("pk"), on__lte=on)


def _measured(on: date) -> Q:
    """Ask for a card that any measure touches by a day; which, only those few are asked.

    Of nothing a database cannot tell that it is no earlier, and would go on to ask.
    """
    return Q(measured_on__isnull=False) & Q(measured_on__lte=on)


def _unconfirmed(on: date, then: Unconfirmed) -> Q:
    """Ask for a card whose work is not confirmed by the day, and of which its scheme says `then` for that."""
    return Q(unconfirmed=then) & Q(LessThan(_confirmed_to(on), Value(on)))


def _confirmed_to(on: date) -> Case:
    """Return up to when work is confirmed, as known on a day: the day that is kept, unless work was confirmed later."""
    latest = _confirmations(on).order_by("-next_due_on").values("next_due_on")[:1]
    # Where there is no confirmation, one database would find nothing the greatest.
    then = Greatest("confirm_by", Coalesce(Subquery(latest), "confirm_by"))
    return Case(When(confirmed_on__gt=on, then=then), default=F("confirm_next"))


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
    named = SchemeIssue.objects.filter(pk=OuterRef(OuterRef("scheme_issue"))).values("body__modules")
    modules = Cast(Subquery(named), models.TextField())
    card = OuterRef(OuterRef("person")), OuterRef(OuterRef("zone"))
    read = _by_day(Reading.objects.filter(revision__module=OuterRef("module")), "read_at", card, on)
    answered = _by_day(Bridge.objects.filter(revision=OuterRef("pk")), "answered_at", card, on)
    return (
        revisions_with_a_day()
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


def revisions_with_a_day() -> models.QuerySet[Revision]:
    """Return the revisions that ask something of anybody; an index finds them only if asked like this."""
    return Revision.objects.filter(due_on__gte=date.min)


def _by_day(rows: Any, moment: str, card: tuple[Any, Any], on: date) -> Any:
    person, zone = card
    return rows.alias(day=LocalDay(moment, zone)).filter(person=person, day__lte=on)
