"""Jobs brought in as a file: every line goes through the form that a job is typed into."""

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.text import format_lazy
from django.utils.translation import gettext as say
from django.utils.translation import gettext_lazy as _

from certs.jobs.forms.job import ALL, EACH, NOBODY, WANTED, JobForm
from certs.jobs.models import Facts
from certs.jobs.rules.lists import HEADS, Columns, columns, said, yes
from certs.schemes.models import SchemeIssue
from training.people.forms import EmployerField
from training.people.models import Crew, Employer
from training.rosters.queries.words import of_file
from training.tables.code import read
from training.tables.rules import Row, Trouble, Unreadable

MOST_JOBS = 200
MOST_BYTES = 200_000
ASKED = ("cold", "night", "supervisor")


class ListForm(forms.Form):
    """A file of jobs, and whose they are."""

    employer = EmployerField(Employer.objects.none())
    file = forms.FileField(
        label=_("File, CSV or XLSX"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
        error_messages={
            "required": _("Choose the file."),
            "empty": _("The file is empty. Choose one with a line of heads and a line for each job."),
            "max_length": _("Give the file a shorter name."),
        },
    )

    def __init__(self, *args: Any, employers: QuerySet[Employer], across: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.only = None if across else employers.get()
        self.fields["employer"].queryset = employers  # type: ignore[attr-defined]
        if self.only is not None:
            del self.fields["employer"]

    def clean_file(self) -> Any:
        """Refuse a file that is too big before it is read."""
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(format_lazy(_("The file is too big. Keep it below {size} kB."), size=200))
        return file

    @property
    def chosen(self) -> Employer:
        """Whose jobs they are."""
        employer: Employer = self.only or self.cleaned_data["employer"]
        return employer


class AgainForm(ListForm):
    """The same jobs once more, as they were looked over."""

    file = None  # type: ignore[assignment]
    text = forms.CharField(widget=forms.HiddenInput, max_length=2 * MOST_BYTES, strip=False)


@dataclass(frozen=True, slots=True)
class Wrong:
    """Something to put right in a line; `column` is empty where it is the whole line."""

    line: int
    column: str
    says: str


@dataclass(frozen=True, slots=True)
class Listing:
    """A list as read: what is wrong in it, or the jobs; and the same list as text, to be sent again."""

    wrongs: tuple[Wrong, ...]
    jobs: tuple[Facts, ...]
    text: str


def read_list(raw: bytes, *, employer: Employer, issues: list[SchemeIssue], on: date) -> Listing:
    """Read a list of jobs of an employer, every wrong line named. Raises Unreadable for a file that is none."""
    head, *lines = read(raw)
    heads = columns(head.cells, [issue.scheme.slug for issue in issues])
    wrongs = [*_of_heads(heads, head.line)]
    if not lines:
        wrongs.append(Wrong(head.line, "", say("There is no job below the heads. Write a line for each job.")))
    if len(lines) > MOST_JOBS:
        says = say("The file has more than %(most)d jobs. Bring it in parts.")
        wrongs.append(Wrong(lines[MOST_JOBS].line, "", says % {"most": MOST_JOBS}))
    if wrongs:
        return Listing(tuple(wrongs), (), "")
    jobs: list[Facts] = []
    for form, line, more in _forms(lines, heads, employer, issues, on):
        wrongs += [Wrong(line, column, says) for column, says in (*more, *_of_form(form))]
        if form.is_valid():
            jobs.append(form.facts())
    wrongs += _of_twins(lines, heads, employer)
    return Listing(tuple(sorted(wrongs, key=lambda one: one.line)), tuple(jobs), _text((head, *lines)))


def why(fault: Unreadable) -> str:
    """Say why a file is not read, and what to do."""
    if fault.trouble is Trouble.EMPTY:
        return say("The file is empty. Choose one with a line of heads and a line for each job.")
    return of_file(fault)


def _of_heads(heads: Columns, line: int) -> Iterator[Wrong]:
    for name in heads.missing:
        yield Wrong(line, name, say("This column is missing. Write its head into the first line."))
    for name in heads.strange:
        yield Wrong(line, name, say("No column is called so. Use the heads listed below, or take the column out."))
    for name in heads.twice:
        yield Wrong(line, name, say("Two columns are called so. Keep one of them."))


def _forms(
    lines: list[Row], heads: Columns, employer: Employer, issues: list[SchemeIssue], on: date
) -> Iterator[tuple[JobForm, int, list[tuple[str, str]]]]:
    """Yield each line as its form, with its number and what the form cannot see."""
    crews = Crew.objects.filter(employer=employer, is_used=True)
    by_name = {crew.name.casefold(): crew.pk for crew in crews}
    kept = {"employers": Employer.objects.filter(pk=employer.pk), "crews": crews, "issues": issues, "across": False}
    kept["today"] = on
    for row in lines:
        typed, more = _typed(said(row.cells, heads), by_name)
        if len(row.cells) > len(heads.heads):
            more.append(("", say("This line has more cells than there are heads. Put quotation marks round a cell.")))
        yield JobForm(typed, **kept), row.line, more


def _typed(cells: Mapping[str, str], crews: Mapping[str, int]) -> tuple[dict[str, Any], list[tuple[str, str]]]:
    """Return a line as the form wants it typed, and what is wrong with yes, no and the crew."""
    typed: dict[str, Any] = {HEADS.get(head, f"{WANTED}{head}"): cell for head, cell in cells.items()}
    wrong = []
    for head in (*ASKED, "each day"):
        answer = yes(cells.get(head, ""))
        if answer is None:
            wrong.append((head, say("Write yes or no.")))
        typed[HEADS[head]] = (EACH if answer else ALL) if head == "each day" else bool(answer)
    crew = cells.get("crew", "")
    if crew and crew.casefold() not in crews:
        says = say(
            "There is no crew “%(crew)s” at this employer. Write the name the crew has today: it may have been given "
            "another one. Or leave the cell empty."
        )
        wrong.append(("crew", says % {"crew": crew}))
    typed["crew"] = crews.get(crew.casefold(), "")
    return typed, wrong


def _of_form(form: JobForm) -> Iterator[tuple[str, str]]:
    heads = {field: head for head, field in HEADS.items()}
    for field, errors in form.errors.as_data().items():
        head = heads.get(field, field.removeprefix(WANTED))
        for error in errors:
            # No column is to blame where none says how many holders: the file may have any of theirs.
            yield from (("" if error.code == NOBODY else head, str(sentence)) for sentence in error.messages)


def _of_twins(lines: list[Row], heads: Columns, employer: Employer) -> Iterator[Wrong]:
    """Yield the lines whose reference another line or a job on record has."""
    there, first = set(employer.jobs.values_list("reference", flat=True)), dict[str, int]()
    for row in lines:
        name = said(row.cells, heads)["reference"]
        if name and name in first:
            says = say("Line %(line)d has the same reference. Give each job its own.") % {"line": first[name]}
            yield Wrong(row.line, "reference", says)
        elif name in there:
            says = say("A job of that reference is on the list already. Give another, or take the line out.")
            yield Wrong(row.line, "reference", says)
        first.setdefault(name, row.line)


def _text(rows: tuple[Row, ...]) -> str:
    file = io.StringIO(newline="")
    csv.writer(file).writerows(row.cells for row in rows)
    return file.getvalue()
