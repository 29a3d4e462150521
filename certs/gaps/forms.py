"""For whom and how far ahead a gap plan is made."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.translation import gettext as say
from django.utils.translation import gettext_lazy as _

from certs.schemes.forms import day_field
from training.people.forms import EmployerField
from training.people.models import Employer

QUARTER = timedelta(weeks=13)
FARTHEST = timedelta(days=184)


class PlanForm(forms.Form):
    """An employer, where there is a choice, and the last day looked at."""

    employer = EmployerField(Employer.objects.none())
    until = day_field(_("Jobs up to and with"))

    def __init__(self, *args: Any, employers: QuerySet[Employer], on: date, **kwargs: Any) -> None:
        """Offer these employers; an only one is not asked for. A quarter ahead stands there at first."""
        super().__init__(*args, initial={"until": on + QUARTER}, **kwargs)
        self.on = on
        self.fields["employer"].queryset = employers  # type: ignore[attr-defined]
        only = list(employers[:2])
        self.only = only[0] if len(only) == 1 else None
        if self.only is not None:
            del self.fields["employer"]

    def clean_until(self) -> date:
        """Take a day to come, at most half a year ahead."""
        until: date = self.cleaned_data["until"]
        if not self.on < until <= self.on + FARTHEST:
            raise ValidationError(say("Give a day after today, and at most half a year ahead."))
        return until

    @property
    def chosen(self) -> Employer:
        """Return the employer: the only one, or the one that was chosen."""
        return self.only if self.only is not None else self.cleaned_data["employer"]
