"""The page of a panel: where it stands, what its closed rounds came to, and its minutes."""

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from django.utils.translation import gettext as _

from training.analysis.queries import Facility, facilities
from training.bank.models import QuestionVersion
from training.panels import rules
from training.panels.models import Panel
from training.panels.queries.rounds import fingerprint, finished, judged, on_panel, result
from training.people.models import Person
from training.questions.specs import plain
from training.quizzes.queries import cells, issue_of, passing
from training.quizzes.rules import figure


@dataclass(frozen=True, slots=True)
class Seat:
    """A judge, and how far they are in the open round, in words."""

    name: str
    says: str


@dataclass(frozen=True, slots=True)
class Round:
    """A closed round: who closed it and when, each judge's marks in rising order, and the figures in words."""

    number: int
    closed_by: str
    closed_at: datetime
    totals: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    missing: int
    fingerprint: str


@dataclass(frozen=True, slots=True)
class Estimated:
    """A question with the spread of its estimates by closed round, and how it does on papers."""

    position: int
    key: str
    safety: bool
    spreads: tuple[rules.Spread | None, ...]
    facility: Facility | None


@dataclass(frozen=True, slots=True)
class Advice:
    """The pass mark the panel advises, and what to write into the paper's file.

    `lowest` and `highest` are the mean less and plus its standard error, in marks; `topics` are lines of a table.
    """

    whole: int
    marks: int
    share: str
    version: int
    lowest: str
    highest: str
    as_now: bool
    topics: tuple[tuple[str, str, int], ...]
    each_topic: bool
    newest: int
    outrun: bool


@dataclass(frozen=True, slots=True)
class Minute:
    """A paragraph of the minutes."""

    by: str
    at: datetime
    text: str


@dataclass(frozen=True, slots=True)
class Page:
    """A panel as its judges and those who run it see it."""

    pk: int
    slug: str
    title: str
    stage: rules.Stage
    facts: tuple[tuple[str, str], ...]
    seats: tuple[Seat, ...]
    unfinished: tuple[str, ...]
    rounds: tuple[Round, ...]
    questions: tuple[Estimated, ...]
    advice: Advice | None
    minutes: tuple[Minute, ...]
    is_judge: bool

    @property
    def round(self) -> int:
        """Return the number of the open round; of a closed panel the last."""
        return rules.FIRST if self.stage is rules.Stage.FIRST else rules.SECOND


def page(panel: Panel, *, person: Person) -> Page:
    """Return the page of a panel: seven queries at most. Estimates of a round that is not closed are not in it."""
    versions, given = on_panel(panel), judged(panel)
    judges = list(panel.judges.select_related("person").order_by("person__name", "pk"))
    open_round = rules.FIRST if panel.stage is rules.Stage.FIRST else rules.SECOND
    counts = {one.person.name: len(given[open_round].get(one.pk, ())) for one in judges}
    closed = _rounds(panel, versions, given)
    shown = facilities(one.pk for one in versions.values()) if closed else {}
    return Page(
        pk=panel.pk,
        slug=panel.issue.paper.slug,
        title=panel.issue.title,
        stage=panel.stage,
        facts=_facts(panel, len(versions)),
        seats=tuple(Seat(name, _so_far(count, len(versions), panel.stage)) for name, count in counts.items()),
        unfinished=tuple(name for name, count in counts.items() if count < len(versions)),
        rounds=tuple(closed),
        questions=_questions(versions, [given[one.number] for one in closed], shown) if closed else (),
        advice=_advice(panel, versions, given[rules.SECOND]),
        minutes=tuple(
            Minute(one.by.name, one.at, one.text) for one in panel.minutes.select_related("by").order_by("pk")
        ),
        is_judge=any(one.person_id == person.pk for one in judges),
    )


def _minutes(panel: Panel) -> tuple[Minute, ...]:
    rows = panel.minutes.select_related("by").order_by("pk")
    return tuple(Minute(one.by.name, one.at, one.text) for one in rows)


def _marks(panel: Panel) -> int:
    return sum(cell.count for cell in cells(panel.issue))


def _facts(panel: Panel, count: int) -> tuple[tuple[str, str], ...]:
    marks, share = _marks(panel), passing(panel.issue)
    words = {"marks": figure(share * marks), "of": marks, "share": plain(share)}
    return (
        (_("Issue of the paper"), str(panel.issue.version)),
        (_("Pass mark now"), _("%(marks)s of %(of)d marks (pass = %(share)s)") % words),
        (_("Questions looked at"), str(count)),
        (_("Opened by"), panel.opened_by.name),
    )


def _so_far(count: int, of: int, stage: rules.Stage) -> str:
    if count >= of:
        return _("finished")
    words = {"count": count, "of": of}
    if stage is rules.Stage.CLOSED:
        return _("not finished: %(count)d of %(of)d, not counted") % words
    return _("%(count)d of %(of)d so far") % words


def _rounds(
    panel: Panel, versions: dict[int, QuestionVersion], given: dict[int, dict[int, dict[str, int]]]
) -> list[Round]:
    ends = (
        (rules.FIRST, panel.first_closed_by, panel.first_closed_at),
        (rules.SECOND, panel.second_closed_by, panel.second_closed_at),
    )
    rounds = []
    for number, by, at in ends:
        if by is not None and at is not None:
            found = result(panel, versions, given[number])
            totals = tuple(f"{total:.2f}" for total in found.totals)
            facts = _figures(found, _marks(panel))
            rounds.append(Round(number, by.name, at, totals, facts, found.missing, fingerprint(given[number])))
    return rounds


def _figures(found: rules.Result, marks: int) -> tuple[tuple[str, str], ...]:
    facts = [(_("Judges who finished"), str(len(found.totals)))]
    if found.cut is not None:
        words = {"marks": f"{found.cut.marks:.2f}", "of": marks}
        facts += [
            (_("Mean of the judges"), _("%(marks)s of %(of)d marks") % words),
            (_("Standard error"), _("%(error).2f marks") % {"error": found.cut.error}),
            (_("Rounded up"), _("%(whole)d of %(of)d marks") % {"whole": found.cut.whole, "of": marks}),
        ]
    return tuple(facts)


def _questions(
    versions: dict[int, QuestionVersion], rounds: list[dict[int, dict[str, int]]], shown: dict[int, Facility]
) -> tuple[Estimated, ...]:
    lines = []
    for position, version in versions.items():
        key = version.question.key
        columns = [[one[key] for one in given.values() if key in one] for given in rounds]
        spreads = tuple(rules.spread(column) if column else None for column in columns)
        lines.append(Estimated(position, key, version.safety, spreads, shown.get(version.pk)))
    return tuple(lines)


def _advice(panel: Panel, versions: dict[int, QuestionVersion], given: dict[int, dict[str, int]]) -> Advice | None:
    """Return the advice of a closed panel of enough judges."""
    cut = result(panel, versions, given).cut if panel.stage is rules.Stage.CLOSED else None
    if cut is None:
        return None
    marks, newest = _marks(panel), issue_of(panel.issue.paper)
    share = rules.passing(cut.whole, marks)
    return Advice(
        whole=cut.whole,
        marks=marks,
        share=share,
        version=newest.version + 1,
        lowest=f"{max(cut.marks - cut.error, 0):.1f}",
        highest=f"{min(cut.marks + cut.error, marks):.1f}",
        as_now=Fraction(share) == passing(newest),
        topics=_topics(panel, versions, given),
        each_topic=bool(panel.issue.body.get("part_months")),
        newest=newest.version,
        outrun=newest.pk != panel.issue_id,
    )


def _topics(
    panel: Panel, versions: dict[int, QuestionVersion], given: dict[int, dict[str, int]]
) -> tuple[tuple[str, str, int], ...]:
    questions, judges = finished(panel, versions, given)
    return tuple((one.topic, f"{one.marks:.2f}", one.of) for one in rules.topics(cells(panel.issue), questions, judges))
