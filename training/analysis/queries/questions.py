"""The report on one question of a paper: how a version does, where it goes wrong, and what came before it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from math import isnan
from typing import Any

from django.db.models import Count, Max, Q
from django.utils.translation import gettext as _

from training.analysis import rules
from training.analysis.queries import pictures
from training.analysis.queries.uses import Mistake, Use, bare, behaviour, choices_of, handed_in, mistakes, uses
from training.analysis.queries.words import asked, between, percent, signed
from training.bank.models import QuestionVersion
from training.bank.queries import changes
from training.questions.correcting import dropped
from training.questions.rounding import printed
from training.quizzes.models import PaperIssue, SittingItem
from training.statistics.intervals import wilson


@dataclass(frozen=True, slots=True)
class CornerLine:
    """Some draws of one value: what was drawn, uses, the share earned with its limits, and a question where it asks."""

    drawn: str
    uses: int
    share: str
    limits: str
    percent: int
    ask: str


@dataclass(frozen=True, slots=True)
class Value:
    """A value drawn anew for each paper, and how answers do along its range."""

    says: str
    lines: tuple[CornerLine, ...]


@dataclass(frozen=True, slots=True)
class PartLine:
    """One part of a question of several: what it asks, and the share earned with its limits."""

    prompt: str
    share: str
    limits: str


@dataclass(frozen=True, slots=True)
class Past:
    """A version of the question: since when, its uses on this paper and on others, the last one, and its share."""

    version: int
    loaded_at: datetime
    uses: int
    elsewhere: int
    last_on: datetime | None
    says: str
    shown: bool


@dataclass(frozen=True, slots=True)
class Report:
    """How one version of a question does on one paper. `bands` head the columns of `curves`."""

    slug: str
    title: str
    key: str
    version: int
    prompt: str
    topic: str
    level: str
    safety: bool
    is_retired: bool
    corrected: bool
    is_out: bool
    may_open: bool
    uses: int
    sample: str
    facts: tuple[tuple[str, str], ...]
    asks: tuple[str, ...]
    bands: tuple[str, ...]
    curves: tuple[pictures.Curve, ...]
    parts: tuple[PartLine, ...]
    mistakes: tuple[Mistake, ...]
    values: tuple[Value, ...]
    history: tuple[Past, ...]

    @property
    def corner_asks(self) -> tuple[str, ...]:
        """Return what the corners ask."""
        return tuple(line.ask for value in self.values for line in value.lines if line.ask)


def report(issue: PaperIssue, version: QuestionVersion) -> Report:
    """Return the report of a version of a question on a paper: six queries at most, however often it was used."""
    asked_of = {"item__question_version__question_id": version.question_id}
    found = uses(handed_in(issue.paper_id), issue.paper_id, **asked_of)
    mine = [use for use in found if use.version == version.pk]
    right = changes([version.pk]).get(version.pk, ())
    how = behaviour(version, mine, right) if mine else None
    choices = choices_of(version, right)
    bands = pictures.band_words(how.options.bands) if how and how.options else ()
    return Report(
        slug=issue.paper.slug,
        title=issue.title,
        key=version.question.key,
        version=version.version,
        prompt=bare(version.body["prompt"]),
        topic=version.topic,
        level=version.level,
        safety=version.safety,
        is_retired=version.question.retired_at is not None,
        corrected=bool(right),
        is_out=dropped(right),
        may_open=version.kind == "calculation",
        uses=len(mine),
        sample=how.sample if how else "",
        facts=_facts(how) if how else (),
        asks=asked(how, choices) if how else (),
        bands=bands,
        curves=_curves(how.options, bands) if how and how.options else (),
        parts=_parts(version, mine),
        mistakes=mistakes(version, mine) if mine else (),
        values=_values(version, mine),
        history=_history(version, found),
    )


def _facts(how: rules.Behaviour) -> tuple[tuple[str, str], ...]:
    words = {"share": percent(how.facility), "limits": between(how.limits), "right": how.right, "uses": how.uses}
    facts = [
        (_("Uses"), str(how.uses)),
        (_("Marks earned (facility)"), _("%(share)s (%(limits)s)") % words),
        (_("Wholly right"), _("%(right)d of %(uses)d") % words),
    ]
    not_yet = _("not said yet")
    if how.rest is None or how.rest_limits is None:
        facts.append((_("Goes with the rest"), not_yet))
    else:
        ends = {"rest": signed(how.rest), "low": signed(how.rest_limits.low), "high": signed(how.rest_limits.high)}
        facts.append((_("Goes with the rest"), _("%(rest)s (%(low)s to %(high)s)") % ends))
    apart = not_yet if how.upper_lower is None else signed(how.upper_lower)
    return (*facts, (_("Best 27\u00a0% less lowest 27\u00a0%"), apart))


def _curves(options: rules.Options, bands: Sequence[str]) -> tuple[pictures.Curve, ...]:
    laid = []
    for place, row in enumerate(options.rows):
        together = _("not chosen, or by all") if isnan(row.correlation) else signed(row.correlation)
        laid.append(pictures.curve(row, [band.shares[place] for band in options.bands], together, bands))
    return tuple(laid)


def _parts(version: QuestionVersion, mine: Sequence[Use]) -> tuple[PartLine, ...]:
    """Return the parts of a question of several, in their order: the first that few earn is where to look."""
    prompts = {part["name"]: part["prompt"] for part in version.body.get("part", ())}
    shares: dict[str, list[Fraction]] = {name: [] for name in prompts}
    for use in mine:
        for name, share in zip(use.parts, use.shares, strict=True):
            shares.setdefault(name, []).append(share)
    return tuple(
        PartLine(bare(prompts[name]), **_share(found)) for name, found in shares.items() if found and name in prompts
    )


def _values(version: QuestionVersion, mine: Sequence[Use]) -> tuple[Value, ...]:
    """Return how answers do by each value that was drawn; the values are read where the body says any is drawn."""
    drawn = {name: given for name, given in version.body.get("given", {}).items() if "constant" not in given}
    if not drawn or not mine:
        return ()
    shown = dict(SittingItem.objects.filter(pk__in=[use.item for use in mine]).values_list("pk", "shown"))
    found = []
    for name in drawn:
        pairs = [(value, use) for use in mine if (value := _drawn(shown[use.item], name)) is not None]
        corners = rules.corners([one["number"] for one, _use in pairs], [float(use.share) for _one, use in pairs])
        if corners:
            first = pairs[0][0]
            lines = tuple(_line(corner, first["unit"]) for corner in corners)
            found.append(Value(first["says"] or name, lines))
    return tuple(found)


def _drawn(shown: Mapping[str, Any], name: str) -> dict[str, Any] | None:
    """Return a value as it was printed on one paper, or None where it is not there."""
    given = next((one for one in shown.get("givens", ()) if one["name"] == name), None)
    return given and {**given, "number": Decimal(given["value"])}


def _line(corner: rules.Corner, unit: str) -> CornerLine:
    low, high = (printed(str(one), unit) for one in (corner.low, corner.high))
    drawn = low if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}
    share, limits = percent(corner.share), between(corner.limits)
    ask = ""
    if corner.bad:
        words = _("With %(drawn)s only %(share)s is earned (%(uses)d uses). What is harder there?")
        ask = words % {"drawn": drawn, "share": share, "uses": corner.uses}
    return CornerLine(drawn, corner.uses, share, limits, round(corner.share * 100), ask)


def _share(shares: Sequence[Fraction]) -> dict[str, str]:
    """Return the mean of some shares and its limits, in words."""
    earned, count = float(sum(shares)), len(shares)
    return {"share": percent(earned / count), "limits": between(wilson(min(earned, count), count))}


def _history(version: QuestionVersion, found: Sequence[Use]) -> tuple[Past, ...]:
    """Return every version of the question, newest first: one query."""
    handed_in = Q(uses__sitting__handed_in_at__isnull=False)
    rows = QuestionVersion.objects.filter(question_id=version.question_id).annotate(
        everywhere=Count("uses", filter=handed_in), last=Max("uses__sitting__handed_in_at", filter=handed_in)
    )
    past = []
    for row in rows.order_by("-version"):
        mine = [use for use in found if use.version == row.pk]
        says = _("%(share)s (%(limits)s)") % _share([use.share for use in mine]) if mine else _("none on this paper")
        elsewhere = row.everywhere - len(mine)  # type: ignore[attr-defined]
        last = row.last  # type: ignore[attr-defined]
        past.append(Past(row.version, row.loaded_at, len(mine), elsewhere, last, says, row.pk == version.pk))
    return tuple(past)
