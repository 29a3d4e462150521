"""What is asked of a plan, and who takes a place instead."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from certs.crewing.models import Plan
from certs.jobs.models import Job
from certs.schemes.forms import Colleague, day_field
from training.people.forms import EmployerField
from training.people.models import Employer, Person

WEEKS = (1, 2, 3, 4, 6, 8)
USUAL = 4


class AskForm(forms.Form):
    """Whose jobs, from which day, for how long."""

    employer = EmployerField(Employer.objects.none())
    first_on = day_field(_("First day"))
    weeks = forms.TypedChoiceField(
        label=_("Weeks"),
        coerce=int,
        choices=[(number, number) for number in WEEKS],
        initial=USUAL,
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Choose how many weeks.")),
    )

    def __init__(self, *args: Any, employers: QuerySet[Employer], across: bool, today: date, **kwargs: Any) -> None:
        super().__init__(*args, initial={"first_on": today}, **kwargs)
        self.today = today
        self.only = None if across else employers.get()
        self.fields["employer"].queryset = employers  # type: ignore[attr-defined]
        if self.only is not None:
            del self.fields["employer"]

    def clean_first_on(self) -> date:
        """Refuse days gone by, and those too far ahead to plan."""
        first: date = self.cleaned_data["first_on"]
        if not self.today <= first <= self.today + timedelta(days=366):
            raise forms.ValidationError(_("Give today or a day within the next year."))
        return first

    def asked(self) -> dict[str, Any]:
        """Return what is asked for."""
        first = self.cleaned_data["first_on"]
        last = first + timedelta(days=7 * self.cleaned_data["weeks"] - 1)
        return {"employer": self.cleaned_data.get("employer") or self.only, "first_on": first, "last_on": last}


class PlaceForm(forms.Form):
    """Which place of a plan it is about, as the link to it says."""

    on = forms.DateField(input_formats=["%Y-%m-%d"], widget=forms.HiddenInput)
    job = forms.ModelChoiceField(Job.objects.none(), widget=forms.HiddenInput)
    scheme = forms.SlugField(required=False, widget=forms.HiddenInput)
    before = forms.ModelChoiceField(Person.objects.none(), required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["job"].queryset = Job.objects.filter(employer=plan.employer_id)  # type: ignore[attr-defined]
        # Also of whoever has moved to another employer meanwhile: their place has to be given to somebody.
        there = Q(employer=plan.employer_id) | Q(pk__in=plan.turns.values("person"))
        self.fields["before"].queryset = Person.objects.filter(there)  # type: ignore[attr-defined]


class ChangeForm(PlaceForm):
    """Who takes the place; nobody leaves it open."""

    after = Colleague(
        Person.objects.none(),
        label=_("Who takes this place"),
        required=False,
        empty_label=_("Nobody: leave it open"),
        error_messages={"invalid_choice": _("Choose a person from the list.")},
    )

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, plan=plan, **kwargs)
        people = Person.objects.filter(employer=plan.employer_id, is_active=True).select_related("employer")
        self.fields["after"].queryset = people.order_by("name", "pk")  # type: ignore[attr-defined]
        self.fields["after"].across = False  # type: ignore[attr-defined]
