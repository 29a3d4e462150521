"""The acts of a panel: open, name judges, keep estimates, close a round, keep minutes."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext as _

from training.ledger.operations import write
from training.panels import queries, rules
from training.panels.models import Panel, PanelEstimate, PanelJudge, PanelMinute, PanelQuestion
from training.people.models import Person
from training.questions.canonical import digest
from training.questions.papers import Cell
from training.quizzes.models import PaperIssue
from training.quizzes.queries import cells


class Taken(Exception):
    """A panel is at work on this issue already; `panel` is that one."""

    def __init__(self, panel: Panel) -> None:
        """Keep the panel."""
        self.panel = panel
        super().__init__(_("A panel is at work on this paper already. Go on with that one."))


class PoolEmpty(Exception):
    """The bank holds no question for some cells of the paper."""

    def __init__(self, cells: Sequence[Cell]) -> None:
        """Name them."""
        names = "; ".join(f"{cell.topic}, {cell.level}" for cell in cells)
        super().__init__(_("No question in use for: %(cells)s. Write some first.") % {"cells": names})


class NotTrainers(Exception):
    """Some of the people named do not hold the role of trainer."""

    def __init__(self, people: Sequence[Person]) -> None:
        """Name them."""
        names = ", ".join(one.name for one in people)
        super().__init__(_("Judges hold the role of trainer; %(names)s does not today.") % {"names": names})


class RoundClosed(Exception):
    """The round is closed, so nothing in it changes any more."""

    def __init__(self) -> None:
        """Say so."""
        super().__init__(_("That round is closed. Nothing in it changes any more."))


class LeftOut(Exception):
    """The judge did not finish the first round, so has no part in the second."""

    def __init__(self) -> None:
        """Say why."""
        super().__init__(_("You did not finish the first round, so the second goes on without you."))


class NobodyFinished(Exception):
    """A round cannot be closed before a judge has finished it."""

    def __init__(self) -> None:
        """Say what to wait for."""
        super().__init__(_("No judge has finished this round yet. Close it when those who take part have finished."))


REFUSALS = (Taken, PoolEmpty, NotTrainers, RoundClosed, LeftOut, NobodyFinished)


def open_panel(
    *, issue: PaperIssue, by: Person, people: Collection[Person], extent: rules.Extent, on: date, at: datetime
) -> Panel:
    """Open a panel on an issue with these judges, and draw the questions they look at.

    Raises Taken, PoolEmpty or NotTrainers.
    """
    with transaction.atomic():
        # The issue's row makes two who open at once wait for one another.
        PaperIssue.objects.select_for_update(no_key=True).get(pk=issue.pk)
        held = Panel.objects.filter(issue=issue, second_closed_at__isnull=True).first()
        if held is not None:
            raise Taken(held)
        panel = Panel.objects.create(issue=issue, opened_by=by, opened_at=at)
        _draw(panel, extent)
        _seat(panel, people, by=by, on=on, at=at)
        about = {"panel": panel.pk, "issue": issue.pk, "judges": sorted(one.pk for one in people)}
        write(by=by.pk, act="panel opened", about=about, at=at)
        return panel


def _draw(panel: Panel, extent: rules.Extent) -> None:
    pool, plan = queries.pool(panel.issue), cells(panel.issue)
    asked = queries.asked(panel.issue, pool)
    if empty := rules.empty_cells(plan, asked):
        raise PoolEmpty(empty)
    keys = rules.sample(plan, asked, extent=extent, seed=str(panel.pk))
    rows = [PanelQuestion(panel=panel, position=place, version=pool[key]) for place, key in enumerate(keys, start=1)]
    PanelQuestion.objects.bulk_create(rows)


def _seat(panel: Panel, people: Collection[Person], *, by: Person, on: date, at: datetime) -> None:
    held = set(queries.trainers(on=on).values_list("pk", flat=True))
    if others := [one for one in people if one.pk not in held]:
        raise NotTrainers(others)
    seated = set(panel.judges.values_list("person_id", flat=True))
    rows = [PanelJudge(panel=panel, person=one, named_by=by, named_at=at) for one in people if one.pk not in seated]
    PanelJudge.objects.bulk_create(rows)


def name_judges(*, panel: Panel, by: Person, people: Collection[Person], on: date, at: datetime) -> Panel:
    """Name further judges while the first round is open; those named already stay. Raises RoundClosed, NotTrainers."""
    with transaction.atomic():
        held = _held(panel, rules.FIRST)
        _seat(held, people, by=by, on=on, at=at)
        about = {"panel": held.pk, "judges": sorted(one.pk for one in people)}
        write(by=by.pk, act="panel judges named", about=about, at=at)
        return held


def keep_estimates(*, judge: PanelJudge, number: int, percents: Mapping[int, int | None], at: datetime) -> None:
    """Keep a judge's estimates in round `number`, by position of the question; None takes one back.

    Raises RoundClosed, or LeftOut in the second round for those who did not finish the first.
    """
    with transaction.atomic():
        held = _held(judge.panel, number)
        rows = dict(held.questions.values_list("position", "pk"))
        first = PanelEstimate.objects.filter(judge=judge, round=rules.FIRST)
        if number == rules.SECOND and first.count() < len(rows):
            raise LeftOut
        given = {rows[place]: percent for place, percent in percents.items() if place in rows}
        blank = [question for question, percent in given.items() if percent is None]
        judge.estimates.filter(round=number, question__in=blank).delete()
        PanelEstimate.objects.bulk_create(
            [
                PanelEstimate(judge=judge, question_id=question, round=number, percent=percent, kept_at=at)
                for question, percent in given.items()
                if percent is not None
            ],
            update_conflicts=True,
            unique_fields=["judge", "question", "round"],
            update_fields=["percent", "kept_at"],
        )


def close_round(*, panel: Panel, number: int, by: Person, at: datetime) -> Panel:
    """Close round `number` for good. Raises RoundClosed where it is not the open one, NobodyFinished before a judge is.

    The ledger holds the fingerprint of its estimates, so that a later change would show.
    """
    with transaction.atomic():
        held = _held(panel, number)
        given = queries.judged(held)[number]
        if not queries.result(held, queries.on_panel(held), given).totals:
            raise NobodyFinished
        name = "first" if number == rules.FIRST else "second"
        setattr(held, f"{name}_closed_by", by)
        setattr(held, f"{name}_closed_at", at)
        held.save(update_fields=[f"{name}_closed_by", f"{name}_closed_at"])
        about = {"panel": held.pk, "round": number, "estimates": queries.fingerprint(given)}
        write(by=by.pk, act="panel round closed", about=about, at=at)
        return held


def keep_minute(*, panel: Panel, by: Person, text: str, at: datetime) -> PanelMinute:
    """Add a paragraph to the minutes, before or after the panel is closed."""
    with transaction.atomic():
        minute = PanelMinute.objects.create(panel=panel, by=by, at=at, text=text)
        about = {"panel": panel.pk, "minute": minute.pk, "text": digest(text)}
        write(by=by.pk, act="panel minute kept", about=about, at=at)
        return minute


def _held(panel: Panel, number: int) -> Panel:
    """Return the panel while round `number` is the open one; nobody else changes it until the transaction ends."""
    held = Panel.objects.select_related("issue").select_for_update(of=("self",)).get(pk=panel.pk)
    if held.stage is not (rules.Stage.FIRST if number == rules.FIRST else rules.Stage.SECOND):
        raise RoundClosed
    return held
