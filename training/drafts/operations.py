"""Writing a question on the site: begin, keep, take into use, revise, retire."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from training.bank.models import Question, QuestionVersion
from training.bank.rules import Origin
from training.drafts import queries, rules
from training.drafts.models import Draft, Retirement
from training.drafts.queries import LONGEST_KEY
from training.ledger.operations import write
from training.people.models import Person
from training.questions.specs import QuestionSpec
from training.quizzes.queries import clock


class Gone(Exception):
    """The draft is used or thrown away in the meantime."""


class Stale(Exception):
    """Somebody kept the draft after the page was opened; `edits` is the count to send with the next try."""

    def __init__(self, draft: Draft, *, by: Person) -> None:
        """Keep the count, and say whose text is in the way."""
        self.edits = draft.edits
        words = _("%(name)s kept another text on %(moment)s. Yours is still on this page: send again to put it there.")
        super().__init__(words % {"name": draft.changed_by.name, "moment": clock(draft.changed_at, by)})


class Unsound(Exception):
    """The draft does not pass its check."""


class Outdated(Exception):
    """The draft is not the one whose draws were looked at."""


class KeptInFiles(Exception):
    """The question comes from the files of content and is changed there."""

    def __init__(self) -> None:
        """Say where to go."""
        super().__init__(_("This question comes from the files of content. It is revised and retired there."))


class RetiredAlready(Exception):
    """The question is out of use."""


def begin(*, computation: str, by: Person, at: datetime) -> Draft:
    """Begin a question about a computation of the catalogue, filled in as far as the catalogue knows."""
    entry = queries.computation(computation)
    typed: dict[str, str | list[str]] = {"level": "apply", "minutes": "3", "source": entry.source, "values": "0"}
    typed |= {"answer-unit": rules.output_unit(computation), "answer-round": "nearest", "answer-ask": "number"}
    for slot in rules.slots(computation):
        row = {"how": rules.How.GRID.value, "unit": slot.unit, "symbol": slot.symbol, "says": slot.says}
        typed |= {f"in-{slot.name}-{end}": text for end, text in row.items()}
    return _draft(None, 1, computation, typed, by=by, at=at)


def revise(*, version: QuestionVersion, by: Person, at: datetime) -> Draft:
    """Return the draft of a question's next version: the open one, or a new one. Raises KeptInFiles."""
    with transaction.atomic():
        question = _ours(version.question_id)
        last = question.versions.order_by("version").last()
        open_draft = queries.latest_draft(last)
        typed = rules.typed_from(last.body)
        return open_draft or _draft(question, last.version + 1, last.body["computation"], typed, by=by, at=at)


def _draft(
    question: Question | None, version: int, computation: str, typed: rules.Typed, *, by: Person, at: datetime
) -> Draft:
    who = {"made_by": by, "made_at": at, "changed_by": by, "changed_at": at}
    key = question.key if question else ""
    return Draft.objects.create(
        question=question, key=key, version=version, computation=computation, typed=dict(typed), **who
    )


def keep(*, draft: Draft, typed: rules.Typed, edits: int, by: Person, at: datetime) -> Draft:
    """Keep what was typed, sound or not. `edits` is the count the page was opened with. Raises Stale or Gone."""
    with transaction.atomic():
        held = _open(draft)
        if held.edits != edits:
            raise Stale(held, by=by)
        held.typed = {**typed, "key": held.question.key} if held.question else dict(typed)
        held.edits, held.changed_by, held.changed_at = held.edits + 1, by, at
        held.key = _free(rules.word(held.typed, "key"), held)
        try:
            with transaction.atomic():
                held.save()
        except IntegrityError:
            # Another draft holds this key: the check says so beside the field, and the text is kept all the same.
            held.key = ""
            held.save()
        return held


def _free(key: str, draft: Draft) -> str:
    """Return the key a draft may hold: one of its own question or of none, and no longer than a key can be."""
    taken = Question.objects.filter(key=key).exclude(pk=draft.question_id).exists()
    return "" if taken or len(key) > LONGEST_KEY else key


def discard(*, draft: Draft) -> None:
    """Throw away a draft that was never used. Raises Gone."""
    with transaction.atomic():
        _open(draft).delete()


def take_into_use(*, draft: Draft, digest: str, changed: str, by: Person, at: datetime) -> QuestionVersion:
    """Put a draft that passes its check into use as the next version of its question, and return the version.

    `digest` is that of the question whose draws were looked at. Raises Unsound, Outdated or Gone.
    """
    # Two hundred draws take a while: they are looked at before the tables are locked.
    spec = queries.check(draft).spec
    if spec is None or queries.preview(spec).objections:
        raise Unsound
    with transaction.atomic():
        held = _open(draft)
        if spec.digest != digest or held.edits != draft.edits:
            raise Outdated
        version = _version(held, spec, at)
        held.used_as, held.used_by, held.used_at, held.changed = version, by, at, changed
        held.question = version.question
        held.save()
        about = {"question": version.question_id, "version": version.version, "digest": version.digest}
        write(by=by.pk, act="question taken into use", about=about, at=at)
        return version


def _version(draft: Draft, spec: QuestionSpec, at: datetime) -> QuestionVersion:
    question = draft.question
    if question is None:
        question, new = Question.objects.get_or_create(key=spec.key, defaults={"origin": Origin.SITE})
        if not new:
            raise Unsound
    if question.retired_at is not None:
        question.retired_at = None
        question.save(update_fields=["retired_at"])
    facts = {name: getattr(spec, name) for name in ("version", "kind", "topic", "level", "safety", "digest")}
    return QuestionVersion.objects.create(question=question, body=spec.as_json(), loaded_at=at, **facts)


def retire(*, question: Question, reason: str, by: Person, at: datetime) -> Retirement:
    """Take a question written here out of use; papers already drawn keep it. Raises KeptInFiles or RetiredAlready."""
    with transaction.atomic():
        held = _ours(question.pk)
        if held.retired_at is not None:
            raise RetiredAlready
        held.retired_at = at
        held.save(update_fields=["retired_at"])
        made = Retirement.objects.create(question=held, by=by, reason=reason, at=at)
        last = held.versions.latest("version")
        about = {"question": held.pk, "version": last.version, "digest": last.digest}
        write(by=by.pk, act="question retired", about=about, at=at)
        return made


def _open(draft: Draft) -> Draft:
    """Return a draft that nobody else changes until the transaction ends. Raises Gone."""
    rows = Draft.objects.select_related("question", "changed_by").select_for_update(of=("self",))
    held = rows.filter(pk=draft.pk, used_as__isnull=True).first()
    if held is None:
        raise Gone
    return held


def _ours(pk: int) -> Question:
    question = Question.objects.select_for_update(no_key=True).get(pk=pk)
    if question.origin != Origin.SITE:
        raise KeptInFiles
    return question
