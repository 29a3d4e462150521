"""Whether a draft makes a sound question: the checks of the files, and what only the site can know."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from training.bank.models import Question
from training.content.mistakes import ContentErrors
from training.content.questions import read_question
from training.drafts import rules
from training.drafts.models import Draft
from training.drafts.rules import Objection
from training.procedures.queries import in_force, topics
from training.questions.book import calculations
from training.questions.specs import QuestionSpec

SET = "set:"
LONGEST_KEY = 80


@dataclass(frozen=True, slots=True)
class Check:
    """The question a draft makes, or every mistake that stands in its way."""

    spec: QuestionSpec | None
    mistakes: tuple[Objection, ...]


def steps() -> list[tuple[str, list[tuple[str, str]]]]:
    """Return the steps of the modules on offer as choices by module: one query."""
    return [
        (one.title, [(f"{one.module.slug}.{step['slug']}", step["title"]) for step in one.body.get("steps", [])])
        for one in in_force()
    ]


def check(draft: Draft) -> Check:
    """Read a draft as a file is read, and look for what no file can hold."""
    table = rules.question(draft.typed, computation=draft.computation, version=draft.version)
    spec, found = None, list(_own(draft))
    try:
        spec = read_question(table, book=calculations())
    except ContentErrors as errors:
        every = (*errors.mistakes, *rules.spelt_wrong(draft.typed, draft.computation))
        placed = (rules.placed(one, draft.typed, draft.computation) for one in every)
        found += [_asked(one, draft) for one in placed]
    return Check(None if found else spec, tuple(dict.fromkeys(found)))


def _asked(mistake: Objection, draft: Draft) -> Objection:
    """Ask for a choice where nothing was chosen, instead of for text."""
    words = {
        "topic": _("Choose a topic."),
        "level": _("Choose a level."),
        "computation": _("Choose the computation that gives this value."),
        "how": _("Say how this value comes about."),
    }
    words = words.get(mistake.field.rpartition("-")[2], "")
    return replace(mistake, sentence=words) if words and not rules.word(draft.typed, mistake.field) else mistake


def _own(draft: Draft) -> Iterator[Objection]:
    yield from _key(draft)
    topic = rules.word(draft.typed, "topic")
    if topic and topic not in dict(topics()):
        yield Objection("topic", _("There is no such topic. Choose one in the list."))
    known = {step for _title, inside in steps() for step, _words in inside}
    for step in rules.ticked(draft.typed, "steps"):
        if step not in known:
            yield Objection("steps", _("There is no step “%(step)s” any more. Tick others.") % {"step": step})
    for row in rules.twice(draft.typed, draft.computation):
        words = _("The name “%(name)s” is taken by another value. Take another name.")
        yield Objection(f"{row.prefix}name", words % {"name": row.name})
    yield from _enemies(draft)


def _key(draft: Draft) -> Iterator[Objection]:
    key = rules.word(draft.typed, "key")
    if len(key) > LONGEST_KEY:
        yield Objection("key", _("Take a key of at most %(most)d letters.") % {"most": LONGEST_KEY})
    elif Question.objects.filter(key=key).exclude(pk=draft.question_id).exists():
        yield Objection("key", _("A question has this key already, and a key is never used again. Take another key."))
    elif key and Draft.objects.filter(key=key, used_as__isnull=True).exclude(pk=draft.pk).exists():
        yield Objection("key", _("Another draft has this key. Take another key."))


def _enemies(draft: Draft) -> Iterator[Objection]:
    named = [one for one in rules.word(draft.typed, "enemies").split() if not one.startswith(SET)]
    known = set(Question.objects.filter(key__in=named).values_list("key", flat=True)) - {rules.word(draft.typed, "key")}
    for one in named:
        if one not in known:
            words = _("“%(key)s” is the key of no other question. A mark shared by several questions begins with set:")
            yield Objection("enemies", words % {"key": one})
