"""Loading questions: the same text changes nothing, a new version stands beside the old. Asking again."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.bank import rules
from training.bank.models import Question, QuestionVersion
from training.bank.rules import Origin
from training.content.tally import Tally
from training.questions import marking
from training.questions.item import Item
from training.questions.specs import QuestionSpec


class AskAgain(Exception):
    """Answers that cannot be read must be asked for again. `problems` lists them."""

    def __init__(self, problems: Sequence[rules.Problem]) -> None:
        """Keep the problems."""
        self.problems = tuple(problems)
        super().__init__("; ".join(problem.sentence for problem in self.problems))


def problems(position: int, item: Item, given: Mapping[str, Any]) -> Iterator[rules.Problem]:
    """Yield what cannot be read in the answers given to one question."""
    read = rules.responses(given)
    for one in marking.unreadable(item, read):
        typed = read[one.part]
        yield rules.Problem(position, one.part, one.sentence, typed if isinstance(typed, str) else "")
    for part in rules.unfinished(given):
        yield rules.Problem(position, part, _("Give every line a place of its own, from 1 to the last."))


def missing(position: int, item: Item, given: Mapping[str, Any]) -> Iterator[rules.Problem]:
    """Yield the parts of one question that nothing was given for."""
    for part in item.shown()["parts"]:
        if rules.blank(given.get(part["name"])):
            yield rules.Problem(position, part["name"], _("Give an answer first."))


class LoadRefused(Exception):
    """Nothing was loaded; `names` lists what stands in the way."""

    says: Any

    def __init__(self, names: Sequence[str]) -> None:
        """Keep the names."""
        self.names = tuple(names)
        super().__init__(self.says % {"names": ", ".join(names)})


class ChangedContent(LoadRefused):
    """Content differs from what was loaded under the same or a later version."""

    says = gettext_lazy("Changed without a higher version: %(names)s. Raise the version and load again.")


class KeysOfTheSite(LoadRefused):
    """Files use keys of questions that trainers wrote on the site."""

    says = gettext_lazy(
        "Written on the site under the same key: %(names)s. Give each question of the files another key."
    )


@dataclass(frozen=True, slots=True)
class Shelf:
    """Two tables: things under a lasting name, and their frozen versions."""

    lasting: type[Any]
    name: str
    frozen: type[Any]
    link: str
    # Only what came from the files may be retired by leaving it out of them.
    ours: Mapping[str, str] = field(default_factory=dict)

    def owns(self, row: Any) -> bool:
        """Say whether a row came from the files."""
        return all(getattr(row, name) == value for name, value in self.ours.items())


def load_questions(specs: Iterable[QuestionSpec], *, at: datetime) -> Tally:
    """Bring the questions of the files up to these specs; those left out are retired, those of the site stay.

    Raises ChangedContent or KeysOfTheSite, loading nothing.
    """
    shelf = Shelf(Question, "key", QuestionVersion, "question", {"origin": Origin.FILES})
    names = ("kind", "topic", "level", "safety")
    return bring_up(shelf, {spec.key: (spec, {n: getattr(spec, n) for n in names}) for spec in specs}, at=at)


def bring_up(shelf: Shelf, wanted: Mapping[str, tuple[Any, dict[str, Any]]], *, at: datetime) -> Tally:
    """Bring a shelf up to the specifications by name, each with the columns of its version.

    Raises ChangedContent or KeysOfTheSite, loading nothing.
    """
    with transaction.atomic():
        rows = {getattr(row, shelf.name): row for row in shelf.lasting.objects.select_for_update()}
        others = [name for name in wanted if name in rows and not shelf.owns(rows[name])]
        if others:
            raise KeysOfTheSite(others)
        held = shelf.frozen.objects.order_by("version").values_list(f"{shelf.link}_id", "version", "digest")
        latest = {pk: (version, mark) for pk, version, mark in held}
        tally, refused = Tally(), []
        for name, (spec, facts) in wanted.items():
            row = rows.get(name) or shelf.lasting(**{shelf.name: name})
            version, mark = latest.get(row.pk, (0, ""))
            if (version, mark) == (spec.version, spec.digest) and row.retired_at is None:
                tally += Tally(unchanged=1)
                continue
            tally += Tally(revised=1) if version else Tally(new=1)
            if spec.version <= version and mark != spec.digest:
                refused.append(name)
                continue
            row.retired_at = None
            row.save()
            if spec.version > version:
                facts |= {"version": spec.version, "body": spec.as_json(), "digest": spec.digest}
                shelf.frozen.objects.create(**{shelf.link: row}, **facts, loaded_at=at)
        if refused:
            raise ChangedContent(refused)
        here = shelf.lasting.objects.filter(retired_at__isnull=True, **shelf.ours)
        gone = here.exclude(**{f"{shelf.name}__in": list(wanted)})
        return tally + Tally(retired=gone.update(retired_at=at))
