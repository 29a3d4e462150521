"""What the pages about questions show: the answers of everyone, and no name of anyone."""

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import Count, OuterRef, Q, Subquery
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.analysis import rules
from training.analysis.rules import Flag
from training.bank.models import QuestionVersion
from training.calc.catalogue import CATALOGUE
from training.quizzes.models import Paper, PaperIssue, PartMark, Sitting
from training.statistics.intervals import Limits, wilson

ASKS = {
    Flag.NOBODY_RIGHT: gettext_lazy("Nobody has got this right so far. Is the key right, and is it taught?"),
    Flag.HARD: gettext_lazy("Few get this right. Is it clear, and is it taught before the paper?"),
    Flag.EASY: gettext_lazy("Nearly everyone gets this right. Would a harder question tell more?"),
    Flag.LOW: gettext_lazy("Those who do well elsewhere hardly do better here. Can it be read in two ways?"),
    Flag.NEGATIVE: gettext_lazy("Those who do well elsewhere do worse here. Is the key right?"),
    Flag.DEAD_OPTION: gettext_lazy("Hardly anyone chooses “%(option)s”. Is another mistake easier to believe?"),
    Flag.CHECK_KEY: gettext_lazy("Those who do well elsewhere choose “%(option)s”. Could it be right as well?"),
}
# The picture, in units of its view box: a plot above a base line, bars with a gap between them.
PLOT_HEIGHT, BAR_GAP = 28.0, 1.0


@dataclass(frozen=True, slots=True)
class PaperLine:
    """A paper and how often it has been handed in."""

    slug: str
    title: str
    handed_in: int


@dataclass(frozen=True, slots=True)
class Band:
    """One band of the score picture: its words, count, and rectangle in units of the view box."""

    words: str
    count: int
    passing: bool
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Mistake:
    """A recognised mistake in words, and how often it was made."""

    words: str
    count: int
    share: str


@dataclass(frozen=True, slots=True)
class QuestionLine:
    """How one version of a question does."""

    key: str
    version: int
    prompt: str
    safety: bool
    uses: int
    right: int
    facility: str
    limits: str
    rest: str
    sample: str
    mistakes: tuple[Mistake, ...]
    asks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """How a paper and its questions do; `facts` are named figures of the paper, `why_not` says what is missing."""

    title: str
    handed_in: int
    bands: tuple[Band, ...]
    pass_at: float
    facts: tuple[tuple[str, str], ...]
    why_not: str
    questions: tuple[QuestionLine, ...]


@dataclass(slots=True)
class _Use:
    """One question of one handed-in paper."""

    sitting: UUID
    version: int
    shares: list[Fraction] = field(default_factory=list)
    mistakes: list[str] = field(default_factory=list)
    read: str = ""

    @property
    def share(self) -> Fraction:
        return sum(self.shares, Fraction(0)) / len(self.shares)


def index() -> tuple[PaperLine, ...]:
    """Return the papers by name: one query."""
    latest = PaperIssue.objects.filter(paper=OuterRef("pk")).order_by("-version").values("title")[:1]
    papers = Paper.objects.annotate(
        title=Subquery(latest), handed_in=Count("sittings", filter=Q(sittings__handed_in_at__isnull=False))
    )
    rows = papers.filter(title__isnull=False).order_by("title")
    return tuple(PaperLine(*row) for row in rows.values_list("slug", "title", "handed_in"))


def page(issue: PaperIssue) -> Page:
    """Return the page of a paper: three queries, however many papers were handed in."""
    handed_in = Sitting.objects.filter(paper_id=issue.paper_id, handed_in_at__isnull=False)
    sittings = list(handed_in.order_by("handed_in_at", "pk"))
    uses = _uses(issue.paper_id)
    versions = QuestionVersion.objects.select_related("question").in_bulk({use.version for use in uses})
    passing = Fraction(issue.body["passing"])
    shares = [float(_earned(one) / one.out_of) for one in sittings]
    trust = _trust(issue, sittings, uses, passing)
    return Page(
        title=issue.title,
        handed_in=len(sittings),
        bands=_bands(rules.picture(shares), float(passing)) if sittings else (),
        pass_at=round(float(passing) * 100, 2),
        facts=(*_passed(sittings), *_trusted(trust)),
        why_not="" if trust else _why_not(len(sittings)),
        questions=_questions(sittings, uses, versions),
    )


def _earned(sitting: Sitting) -> Fraction:
    return Fraction(sitting.earned_numerator, sitting.earned_denominator)


def _uses(paper_id: int) -> list[_Use]:
    """Return every question of every handed-in paper: the one query that grows."""
    marks = PartMark.objects.filter(item__sitting__paper_id=paper_id, item__sitting__handed_in_at__isnull=False)
    names = ("item__sitting_id", "item__question_version_id")
    rows = marks.order_by("item_id", "pk").values_list(
        "item_id", *names, "share_numerator", "share_denominator", "misconception", "read"
    )
    uses: dict[int, _Use] = {}
    for item, sitting, version, numerator, denominator, misconception, read in rows:
        use = uses.setdefault(item, _Use(sitting, version))
        use.shares.append(Fraction(numerator, denominator))
        use.mistakes += [misconception] if misconception else []
        use.read = read
    return list(uses.values())


def _passed(sittings: Sequence[Sitting]) -> list[tuple[str, str]]:
    count = len(sittings)
    facts = [(_("Papers handed in"), str(count))]
    if count:
        passed = sum(bool(one.passed) for one in sittings)
        values = {"passed": passed, "count": count, "share": _percent(passed / count)}
        values["limits"] = _between(wilson(passed, count))
        facts.append((_("Passed"), _("%(passed)d of %(count)d: %(share)s (%(limits)s)") % values))
    return facts


def _percent(share: float) -> str:
    return _("%(number)d\u00a0%%") % {"number": round(share * 100)}


def _between(limits: Limits) -> str:
    return _("%(low)d to %(high)d\u00a0%%") % {"low": round(limits.low * 100), "high": round(limits.high * 100)}


def _trust(
    issue: PaperIssue, sittings: Sequence[Sitting], uses: Sequence[_Use], passing: Fraction
) -> rules.Trust | None:
    """Judge the papers of the latest issue alone: another blueprint is another paper."""
    marks: dict[UUID, dict[int, float]] = {one.pk: {} for one in sittings if one.issue_id == issue.pk}
    for use in uses:
        if use.sitting in marks:
            marks[use.sitting][use.version] = float(use.share)
    rows = [[share for _version, share in sorted(one.items())] for one in marks.values()]
    same = len({tuple(sorted(one)) for one in marks.values()}) == 1
    return rules.trust(rows, same=same, cut=float(passing * len(rows[0]))) if rows else None


def _trusted(trust: rules.Trust | None) -> list[tuple[str, str]]:
    if trust is None:
        return []
    formula = _("Reliability, formula %(number)d of Kuder and Richardson") % {"number": trust.formula}
    error = _("%(error).2f marks") % {"error": trust.error}
    facts = [(formula, f"{trust.reliability:.2f}"), (_("Error of a mark at the pass mark"), error)]
    if trust.decisions:
        alike = trust.decisions.consistency.consistency
        facts += [
            (_("Would decide the same again"), _percent(alike)),
            (_("Passed by luck"), _percent(trust.decisions.false_pass)),
            (_("Missed by bad luck"), _percent(trust.decisions.false_fail)),
        ]
    return facts


def _why_not(count: int) -> str:
    values = {"wanted": rules.PAPER_FROM, "count": count}
    if count < rules.PAPER_FROM:
        return (
            _("How far this paper can be trusted is said from %(wanted)d papers on; so far there are %(count)d.")
            % values
        )
    return _("How far this paper can be trusted cannot be told: too few papers of this issue, or all marks alike.")


def _bands(counts: Sequence[int], passing: float) -> tuple[Band, ...]:
    """Lay the counts out as bars side by side, the tallest as high as the plot."""
    step, tallest = 100 / len(counts), max(counts)
    bands = []
    for number, count in enumerate(counts):
        low = number / len(counts)
        height = round(PLOT_HEIGHT * count / tallest, 2)
        values = {"low": round(low * 100), "high": round((number + 1) / len(counts) * 100)}
        last = number == len(counts) - 1
        words = _("%(low)d to %(high)d\u00a0%%") if last else _("%(low)d to under %(high)d\u00a0%%")
        x, width = round(number * step + BAR_GAP / 2, 2), round(step - BAR_GAP, 2)
        top = round(PLOT_HEIGHT - height, 2)
        bands.append(Band(words % values, count, low >= passing, x, top, width, height))
    return tuple(bands)


def _questions(
    sittings: Sequence[Sitting], uses: Sequence[_Use], versions: Mapping[int, QuestionVersion]
) -> tuple[QuestionLine, ...]:
    """Return a line for each version of a question, those that ask for a look first."""
    earned = {one.pk: (_earned(one), one.out_of) for one in sittings}
    by_version: dict[int, list[_Use]] = defaultdict(list)
    for use in uses:
        by_version[use.version].append(use)
    lines = [_question(versions[pk], found, earned) for pk, found in by_version.items()]
    return tuple(sorted(lines, key=lambda line: (not line.asks, line.key, line.version)))


def _question(
    version: QuestionVersion, uses: Sequence[_Use], earned: Mapping[UUID, tuple[Fraction, int]]
) -> QuestionLine:
    answered = []
    for use in uses:
        total, out_of = earned[use.sitting]
        # A paper of one question has no rest; every rest is then 0, and nothing is said of it.
        rest = float((total - use.share) / max(out_of - 1, 1))
        answered.append(rules.Answered(float(use.share), rest, use.read))
    found = rules.behaviour(answered, safety=version.safety, choices=_choices(version))
    return QuestionLine(
        key=version.question.key,
        version=version.version,
        prompt=re.sub(r"\{[^{}]*\}", "…", version.body["prompt"]),
        safety=version.safety,
        uses=found.uses,
        right=found.right,
        facility=_percent(found.facility),
        limits=_between(found.limits),
        rest="" if found.rest is None else f"{found.rest:.2f}",
        sample=found.sample,
        mistakes=_mistakes(version, uses),
        asks=tuple(ASKS[one.flag] % {"option": one.option} for one in found.raised),
    )


def _options(version: QuestionVersion) -> list[Mapping[str, Any]]:
    """Return the options of a question with one right one, none of another; texts with gaps differ by paper."""
    options = version.body.get("option", []) if version.kind == "one" else []
    return [] if any("{" in option["text"] for option in options) else options


def _choices(version: QuestionVersion) -> rules.Choices | None:
    options = _options(version)
    right = next((option["text"] for option in options if option.get("right")), None)
    return rules.Choices(tuple(option["text"] for option in options), right) if right else None


def _mistakes(version: QuestionVersion, uses: Sequence[_Use]) -> tuple[Mistake, ...]:
    """Return the mistakes recognised in the answers, the commonest first."""
    says = {option["text"]: option.get("says", "") for option in _options(version) if not option.get("right")}
    counts = Counter(CATALOGUE[key].says if key in CATALOGUE else key for use in uses for key in set(use.mistakes))
    counts.update(f"“{use.read}”: {says[use.read]}" for use in uses if use.read in says)
    ranked = sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(Mistake(text, count, _percent(count / len(uses))) for text, count in ranked)
