"""What is typed about a job, and about days away."""

import unicodedata
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.text import format_lazy
from django.utils.translation import gettext as say
from django.utils.translation import gettext_lazy as _

from certs.jobs.models import REASON_WORDS, Facts, Job
from certs.jobs.rules import MOST_DAYS
from certs.schemes.forms import Colleague, day_field
from certs.schemes.models import SchemeIssue
from training.people.forms import CrewField, EmployerField
from training.people.models import Crew, Employer, Person

MOST_BONDS, MOST_HOLDERS = 1900, 20
WANTED = "holders-"
# The code of the error that holders are asked for under no scheme.
NOBODY = "nobody"
ALL, EACH = "all", "each day"
OVER = _("These days are over. Give today or a later day.")


def visible(text: str) -> None:
    """Refuse a text with a character that cannot be seen and that no database need keep."""
    if any(unicodedata.category(character) in {"Cc", "Cs"} for character in text):
        raise ValidationError(_("Type this again: it holds a character that cannot be seen."))


def _count(label: Any, *, most: int, required: bool = True, **more: Any) -> forms.IntegerField:
    says = format_lazy(_("Give a whole number from 1 to {most}."), most=most)
    errors = dict.fromkeys(("required", "invalid", "min_value", "max_value"), says)
    widget = forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"})
    return forms.IntegerField(
        label=label, min_value=1, max_value=most, required=required, widget=widget, error_messages=errors, **more
    )


class JobForm(forms.Form):
    """A job: where, when, how many bonds, and who is wanted for it."""

    employer = EmployerField(Employer.objects.none())
    reference = forms.CharField(
        label=_("Name or reference of the job"),
        max_length=40,
        validators=[visible],
        error_messages={"required": _("Give the name or the reference, such as B-117.")},
    )
    place = forms.CharField(
        label=_("Place"),
        help_text=_("Line and distance, or the yard."),
        max_length=120,
        validators=[visible],
        error_messages={"required": _("Give the line and the distance, or the yard.")},
    )
    first_on = day_field(_("First day"))
    last_on = day_field(_("Last day"))
    bonds = _count(_("Bonds to make"), most=MOST_BONDS)
    each = forms.ChoiceField(
        label=_("That many"),
        choices=[(ALL, _("in all")), (EACH, _("on each day"))],
        initial=ALL,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Say whether in all or on each day.")),
    )
    crew = CrewField(
        Crew.objects.none(),
        label=_("Crew that does it (optional)"),
        empty_label=_("Holders from any crew"),
        required=False,
    )
    cold = forms.BooleanField(label=_("In the cold: cells below 15 °C"), required=False)
    night = forms.BooleanField(label=_("At night"), required=False)
    cover = forms.BooleanField(label=_("A supervisor has to be there as well"), required=False)

    def __init__(
        self,
        *args: Any,
        employers: QuerySet[Employer],
        crews: QuerySet[Crew],
        issues: list[SchemeIssue],
        across: bool,
        today: date | None = None,
        **kwargs: Any,
    ) -> None:
        """Offer these; with `today` the job is a new one, and must not be over."""
        super().__init__(*args, **kwargs)
        self.today = today
        self.issues = {f"{WANTED}{issue.scheme.slug}": issue for issue in issues}
        self.fields["employer"].queryset = employers  # type: ignore[attr-defined]
        self.fields["crew"].queryset = crews.filter(employer__in=employers)  # type: ignore[attr-defined]
        self.only = None if across else employers.get()
        if self.only is not None:
            del self.fields["employer"]
        for name, issue in self.issues.items():
            words = _("Holders wanted on each day: %(scheme)s (optional)") % {"scheme": issue.title}
            self.fields[name] = _count(words, most=MOST_HOLDERS, required=False)
        before = [name for name in self.fields if name not in {"crew", "cold", "night", "cover"}]
        self.order_fields(before)

    def clean(self) -> dict[str, Any]:
        """Refuse days the wrong way round, a job without holders, and another employer's crew."""
        typed = self.cleaned_data
        first, last = typed.get("first_on"), typed.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", _("Give a last day that is not before the first."))
        elif first and last and (last - first).days >= MOST_DAYS:
            says = _("A job lasts at most %(most)d days. Make several jobs of a longer one.")
            self.add_error("last_on", says % {"most": MOST_DAYS})
        elif last and self.today and last < self.today:
            self.add_error("last_on", OVER)
        if not any(typed.get(name) for name in self.issues) and not set(self.issues) & set(self.errors):
            says = _("Say how many holders are wanted, under one scheme or more.")
            self.add_error(next(iter(self.issues), None), forms.ValidationError(says, code=NOBODY))
        crew, employer = typed.get("crew"), typed.get("employer") or self.only
        if crew and employer and crew.employer_id != employer.pk:
            self.add_error("crew", _("This crew is of another employer. Choose another crew, or none."))
        return typed

    def facts(self) -> Facts:
        """Return what was typed."""
        typed = self.cleaned_data
        names = ("reference", "place", "first_on", "last_on", "bonds", "crew", "cold", "night", "cover")
        return Facts(
            employer=typed.get("employer") or self.only,
            each_day=typed["each"] == EACH,
            wants={issue.scheme: typed[name] for name, issue in self.issues.items() if typed[name]},
            **{name: typed[name] for name in names},
        )

    def refuse(self, sentence: str) -> None:
        """Say why the job is not kept: what the form itself cannot see is that its reference is taken."""
        self.add_error("reference", sentence)


def typed_of(job: Job) -> dict[str, Any]:
    """Return a job as its form shows it."""
    names = ("employer", "reference", "place", "first_on", "last_on", "bonds", "crew", "cold", "night", "cover")
    wants = {f"{WANTED}{want.scheme.slug}": want.holders for want in job.wants.all()}
    return {name: getattr(job, name) for name in names} | {"each": EACH if job.each_day else ALL} | wants


class AbsenceForm(forms.Form):
    """Days on which somebody is away."""

    person = Colleague(
        Person.objects.none(),
        label=_("Who is away"),
        empty_label=_("Choose a person"),
        error_messages={"required": _("Choose a person."), "invalid_choice": _("Choose a person from the list.")},
    )
    reason = forms.ChoiceField(
        label=_("Why"),
        choices=[(reason.value, words) for reason, words in REASON_WORDS.items()],
        widget=forms.RadioSelect,
        help_text=_("No more than this is kept about it, and only this page shows it."),
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Choose one of the reasons.")),
    )
    from_on = day_field(_("First day away"))
    until_on = day_field(_("Last day away"))

    def __init__(self, *args: Any, people: QuerySet[Person], across: bool, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["person"].across = across  # type: ignore[attr-defined]
        people = people.filter(is_active=True).select_related("employer").order_by("name", "pk")
        self.fields["person"].queryset = people  # type: ignore[attr-defined]

    def clean_until_on(self) -> Any:
        """Refuse a last day before the first, or years away."""
        first, last = self.cleaned_data.get("from_on"), self.cleaned_data["until_on"]
        if first and last < first:
            raise ValidationError(say("Give a last day that is not before the first."))
        if first and (last - first).days > 366:
            raise ValidationError(say("Give at most a year at a time."))
        if last < self.today:
            raise ValidationError(OVER)
        return last
