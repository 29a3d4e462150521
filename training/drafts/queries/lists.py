"""The list of drafts and questions in use, and one version of a question."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator

from training.bank.models import QuestionVersion
from training.bank.rules import Origin, has_words
from training.calc.catalogue import CATALOGUE
from training.content.written import written
from training.drafts import rules
from training.drafts.models import Draft, Retirement
from training.procedures.queries import topics
from training.questions.specs import Kind

# So many questions a person goes through on a phone before the next press.
PER_PAGE = 20


@dataclass(frozen=True, slots=True)
class DraftLine:
    """A draft in the list."""

    pk: int
    key: str
    version: int
    computation: str
    prompt: str
    changed_by: str
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class QuestionLine:
    """A question in the list, with the numbers of all its versions, the latest last."""

    key: str
    versions: tuple[int, ...]
    prompt: str
    topic: str
    level: str
    safety: bool
    on_site: bool
    retired_at: datetime | None


@dataclass(frozen=True, slots=True)
class Index:
    """Drafts, the one changed last first, and calculation questions by key."""

    drafts: tuple[DraftLine, ...]
    in_use: Page[QuestionLine]
    retired: tuple[QuestionLine, ...]


@dataclass(frozen=True, slots=True)
class VersionPage:
    """One version of a question: the text of its file, who put it into use and why, and what became of it."""

    key: str
    version: int
    versions: tuple[int, ...]
    topic: str
    level: str
    safety: bool
    on_site: bool
    loaded_at: datetime
    used_by: str
    changed: str
    retired_at: datetime | None
    retired_by: str
    reason: str
    digest: str
    text: str

    @property
    def may_revise(self) -> bool:
        """Say whether the site may make a new version of it: only of what it wrote, and from the latest version."""
        return self.on_site and self.version == self.versions[-1]


def index(*, topic: str = "", words: str = "", number: str = "") -> Index:
    """Return a page of the list of a topic, or of all, with all these words in question or key: three queries."""
    titles = dict(topics())
    rows = QuestionVersion.objects.select_related("question").filter(kind=Kind.CALCULATION)
    held: dict[int, list[QuestionVersion]] = {}
    for row in rows.order_by("question__key", "version"):
        held.setdefault(row.question_id, []).append(row)
    every = [_line(versions, titles) for versions in held.values() if topic in ("", versions[-1].topic)]
    lines = [line for line in every if has_words(f"{line.key} {line.prompt}", words)]
    drafts = Draft.objects.select_related("changed_by").filter(used_as__isnull=True).order_by("-changed_at", "-pk")
    return Index(
        drafts=tuple(map(_draft, drafts)),
        in_use=Paginator([line for line in lines if line.retired_at is None], PER_PAGE).get_page(number),
        retired=tuple(line for line in lines if line.retired_at is not None),
    )


def _draft(draft: Draft) -> DraftLine:
    entry = CATALOGUE.get(draft.computation)
    return DraftLine(
        pk=draft.pk,
        key=rules.word(draft.typed, "key"),
        version=draft.version,
        computation=entry.title if entry else draft.computation,
        prompt=_gaps(rules.word(draft.typed, "prompt")),
        changed_by=draft.changed_by.name,
        changed_at=draft.changed_at,
    )


def _line(versions: Iterable[QuestionVersion], titles: dict[str, str]) -> QuestionLine:
    *_before, last = versions = list(versions)
    return QuestionLine(
        key=last.question.key,
        versions=tuple(one.version for one in versions),
        prompt=_gaps(last.body["prompt"]),
        topic=titles.get(last.topic, last.topic),
        level=last.level,
        safety=last.safety,
        on_site=last.question.origin == Origin.SITE,
        retired_at=last.question.retired_at,
    )


def _gaps(prompt: str) -> str:
    return re.sub(r"\{[^{}]*\}", "…", prompt)


def version_page(version: QuestionVersion) -> VersionPage:
    """Return one version: four queries."""
    question = version.question
    draft = Draft.objects.select_related("used_by").filter(used_as=version).first()
    gone = Retirement.objects.select_related("by").filter(question=question, at=question.retired_at).last()
    return VersionPage(
        key=question.key,
        version=version.version,
        versions=tuple(question.versions.order_by("version").values_list("version", flat=True)),
        topic=dict(topics()).get(version.topic, version.topic),
        level=version.level,
        safety=version.safety,
        on_site=question.origin == Origin.SITE,
        loaded_at=version.loaded_at,
        used_by=draft.used_by.name if draft and draft.used_by else "",
        changed=draft.changed if draft else "",
        retired_at=question.retired_at,
        retired_by=gone.by.name if gone else "",
        reason=gone.reason if gone else "",
        digest=version.digest,
        text=text(version),
    )


def latest_draft(version: QuestionVersion) -> Draft | None:
    """Return the draft of the next version of a question, if one is open."""
    return Draft.objects.filter(question_id=version.question_id, used_as__isnull=True).first()


def text(version: QuestionVersion) -> str:
    """Return a version as the text of a file of content."""
    return written(version.body)
