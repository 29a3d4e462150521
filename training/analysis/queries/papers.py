"""The papers by name, and the report on one: its marks, how far it can be trusted, its time, its questions."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from uuid import UUID

from django.core import paginator
from django.db.models import Count, OuterRef, Q, Subquery
from django.utils.translation import gettext as _

from training.analysis import rules
from training.analysis.queries import pictures
from training.analysis.queries.uses import Use, bare, behaviour, choices_of, handed_in, uses
from training.analysis.queries.words import asked, between, percent, signed
from training.bank.models import QuestionVersion
from training.bank.queries import changes
from training.bank.rules import has_words
from training.questions.correcting import Change
from training.quizzes.models import Paper, PaperIssue, Sitting
from training.quizzes.queries import counted
from training.statistics.intervals import wilson

# So many questions a person goes through on a phone before the next press.
PER_PAGE = 20


@dataclass(frozen=True, slots=True)
class PaperLine:
    """A paper and how often it has been handed in."""

    slug: str
    title: str
    handed_in: int


@dataclass(frozen=True, slots=True)
class QuestionLine:
    """How one version of a question does."""

    key: str
    version: int
    topic: str
    prompt: str
    safety: bool
    uses: int
    right: int
    facility: str
    limits: str
    rest: str
    sample: str
    asks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """How a paper and its questions do; `facts` are named figures of the paper, `why_not` says what is missing."""

    slug: str
    title: str
    issue: int
    handed_in: int
    bars: tuple[pictures.Bar, ...]
    pass_at: float
    facts: tuple[tuple[str, str], ...]
    says: tuple[str, ...]
    why_not: str
    questions: tuple[QuestionLine, ...]

    def found(self, *, topic: str = "", words: str = "", number: str = "") -> paginator.Page[QuestionLine]:
        """Return one page of the questions of a topic, or of all, with all these words in the question or its key."""
        lines = [line for line in self.questions if topic in ("", line.topic)]
        lines = [line for line in lines if has_words(f"{line.key} {line.prompt}", words)]
        return paginator.Paginator(lines, PER_PAGE).get_page(number)


def index() -> tuple[PaperLine, ...]:
    """Return the papers by name: one query."""
    latest = PaperIssue.objects.filter(paper=OuterRef("pk")).order_by("-version").values("title")[:1]
    whole = Q(sittings__handed_in_at__isnull=False, sittings__resumes__isnull=True)
    papers = Paper.objects.annotate(
        title=Subquery(latest),
        handed_in=Count("sittings", filter=whole),
    )
    rows = papers.filter(title__isnull=False).order_by("title")
    return tuple(PaperLine(*row) for row in rows.values_list("slug", "title", "handed_in"))


def page(issue: PaperIssue) -> Page:
    """Return the page of a paper: four queries, however many papers were handed in.

    A sitting that takes up some topics again is another, shorter paper: only its questions count here.
    """
    sittings = handed_in(issue.paper_id)
    found = uses(sittings, issue.paper_id)
    whole = [one for one in sittings if one.resumes_id is None]
    versions = QuestionVersion.objects.select_related("question").in_bulk({use.version for use in found})
    passing = Fraction(issue.body["passing"])
    trust = _trust(issue, whole, found, passing)
    time = rules.times([_minutes(one) for one in whole if one.issue_id == issue.pk and not one.accommodation_id])
    return Page(
        slug=issue.paper.slug,
        title=issue.title,
        issue=issue.version,
        handed_in=len(whole),
        bars=_bars(whole, float(passing)) if whole else (),
        pass_at=round(float(passing) * 100, 2),
        facts=(*_passed(whole), *_trusted(trust), *_timed(time, issue)),
        says=(*_decides(trust), *_time_says(time, issue)),
        why_not="" if trust else _why_not(len(whole)),
        questions=_questions(found, versions),
    )


def _bars(whole: Sequence[Sitting], passing: float) -> tuple[pictures.Bar, ...]:
    return pictures.bars(rules.picture([float(counted(one).earned / one.out_of) for one in whole]), passing)


def _minutes(sitting: Sitting) -> float:
    return (sitting.handed_in_at - sitting.opened_at).total_seconds() / 60


def _passed(sittings: Sequence[Sitting]) -> list[tuple[str, str]]:
    count = len(sittings)
    facts = [(_("Papers handed in"), str(count))]
    if count:
        passed = sum(counted(one).passed for one in sittings)
        values = {"passed": passed, "count": count, "share": percent(passed / count)}
        values["limits"] = between(wilson(passed, count))
        facts.append((_("Passed"), _("%(passed)d of %(count)d: %(share)s (%(limits)s)") % values))
    return facts


def _trust(
    issue: PaperIssue, sittings: Sequence[Sitting], found: Sequence[Use], passing: Fraction
) -> rules.Trust | None:
    """Judge the papers of the latest issue alone: another blueprint is another paper."""
    marks: dict[UUID, dict[int, float]] = {one.pk: {} for one in sittings if one.issue_id == issue.pk}
    for use in found:
        if use.sitting in marks:
            marks[use.sitting][use.version] = float(use.share)
    rows = [[share for _version, share in sorted(one.items())] for one in marks.values()]
    same = len({tuple(sorted(one)) for one in marks.values()}) == 1
    return rules.trust(rows, same=same, cut=float(passing * len(rows[0]))) if rows else None


def _trusted(trust: rules.Trust | None) -> list[tuple[str, str]]:
    if trust is None:
        return []
    formula = _("Reliability, formula %(number)d of Kuder and Richardson") % {"number": trust.formula}
    ends = {"value": signed(trust.reliability), "low": signed(trust.limits.low), "high": signed(trust.limits.high)}
    error = _("%(error).2f marks") % {"error": trust.error}
    facts = [
        (formula, _("%(value)s (%(low)s to %(high)s)") % ends),
        (_("Error of a mark at the pass mark"), error),
    ]
    if trust.decisions:
        alike = trust.decisions.consistency.consistency
        facts += [
            (_("Would decide the same again"), percent(alike)),
            (_("Passed by luck"), percent(trust.decisions.false_pass)),
            (_("Missed by bad luck"), percent(trust.decisions.false_fail)),
        ]
    return facts


def _decides(trust: rules.Trust | None) -> list[str]:
    """Say whether the paper decides alike often enough; a low reliability alone is usual where nearly all pass."""
    if trust is None or trust.decisions is None:
        return []
    words = {"aim": percent(rules.ALIKE_FROM)}
    if trust.decisions.consistency.consistency >= rules.ALIKE_FROM:
        return [_("The paper decides alike often enough: the aim is %(aim)s or more.") % words]
    return [
        _("The paper decides alike less often than it should: the aim is %(aim)s or more. Is it long enough?") % words
    ]


def _timed(time: rules.Times | None, issue: PaperIssue) -> list[tuple[str, str]]:
    if time is None:
        return []
    words = {"half": ceil(time.median), "most": ceil(time.ninetieth), "given": issue.body["minutes"]}
    return [
        (_("Time, half of the papers"), _("%(half)d of %(given)d minutes or less") % words),
        (_("Time, nine papers in ten"), _("%(most)d of %(given)d minutes or less") % words),
    ]


def _time_says(time: rules.Times | None, issue: PaperIssue) -> list[str]:
    """Ask about the time where one in ten needs all of it; a hand-in of the clock's counts as all."""
    if time is None:
        return []
    said = []
    if time.ninetieth >= issue.body["minutes"] * rules.NEARLY_ALL:
        said.append(_("One paper in ten takes nearly all of the time or more. Is the time enough?"))
    if time.sample is rules.Sample.PROVISIONAL:
        said.append(_("What is said of the time is provisional until 100 papers of this issue."))
    return said


def _why_not(count: int) -> str:
    values = {"wanted": rules.PAPER_FROM, "count": count}
    if count < rules.PAPER_FROM:
        return (
            _("How far this paper can be trusted is said from %(wanted)d papers on; so far there are %(count)d.")
            % values
        )
    return _("How far this paper can be trusted cannot be told: too few papers of this issue, or all marks alike.")


def _questions(found: Sequence[Use], versions: Mapping[int, QuestionVersion]) -> tuple[QuestionLine, ...]:
    """Return a line for each version of a question: those that ask for a look first, then those missed most often."""
    by_version: dict[int, list[Use]] = defaultdict(list)
    for use in found:
        by_version[use.version].append(use)
    right = changes(by_version)
    lines = [_question(versions[pk], mine, right.get(pk, ())) for pk, mine in by_version.items()]
    missed = {(line.key, line.version): Fraction(line.uses - line.right, line.uses) for line in lines}
    order = sorted(lines, key=lambda line: (line.key, line.version))
    return tuple(sorted(order, key=lambda line: (not line.asks, -missed[line.key, line.version])))


def _question(version: QuestionVersion, mine: Sequence[Use], right: Sequence[Change]) -> QuestionLine:
    how = behaviour(version, mine, right)
    return QuestionLine(
        key=version.question.key,
        version=version.version,
        topic=version.topic,
        prompt=bare(version.body["prompt"]),
        safety=version.safety,
        uses=how.uses,
        right=how.right,
        facility=percent(how.facility),
        limits=between(how.limits),
        rest="" if how.rest is None else signed(how.rest),
        sample=how.sample,
        asks=asked(how, choices_of(version, right)),
    )
