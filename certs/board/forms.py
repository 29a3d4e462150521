"""What the board may be asked."""

from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from certs.board.queries import WORDS, value_of
from certs.board.rules import ORDER, UNASKED
from training.people.models import Crew, Employer


class CrewField(forms.ModelChoiceField):
    """A crew, told apart by its employer."""

    def label_from_instance(self, obj: Crew) -> str:  # type: ignore[override]
        """Name the employer and the crew."""
        return f"{obj.employer.name}: {obj.name}"


class BoardForm(forms.Form):
    """A day and three filters; whatever cannot be read is left out and said beside its field."""

    on = forms.DateField(
        label=_("On the day"),
        required=False,
        input_formats=["%Y-%m-%d"],
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("Give a day, such as 2026-11-30. Until then the board shows today.")},
    )
    crew = CrewField(
        Crew.objects.none(),
        label=_("Crew"),
        required=False,
        empty_label=_("All crews"),
        error_messages={"invalid_choice": _("Choose one of the crews in the list. Until then all are shown.")},
    )
    employer = forms.ModelChoiceField(
        Employer.objects.none(),
        label=_("Employer"),
        required=False,
        empty_label=_("All employers"),
        error_messages={"invalid_choice": _("Choose one of the employers in the list. Until then all are shown.")},
    )
    standing = forms.ChoiceField(
        label=_("Standing, under any scheme"),
        required=False,
        choices=[("", _("All")), *((value_of(one), WORDS[one]) for one in ORDER if one not in UNASKED)],
        error_messages={"invalid_choice": _("Choose one of the standings in the list. Until then all are shown.")},
    )

    def __init__(
        self, asked: Any, *, crews: QuerySet[Crew], employers: QuerySet[Employer], across: bool, today: date
    ) -> None:
        super().__init__({"on": today.isoformat(), **asked.dict()})
        self.today = today
        self.fields["crew"].queryset = crews  # type: ignore[attr-defined]
        self.fields["employer"].queryset = employers  # type: ignore[attr-defined]
        if not across:
            del self.fields["employer"]

    def asked(self) -> dict[str, Any]:
        """Return what the board is asked, as far as it could be read."""
        self.full_clean()
        if "on" in self.errors:
            # A calendar field drops what it cannot read; as plain text it stays to be put right.
            self.fields["on"].widget.input_type = "text"
        return {"standing": "", **self.cleaned_data, "on": self.cleaned_data.get("on") or self.today}
