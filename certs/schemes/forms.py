"""Giving a permission, and recording training given."""

from datetime import date

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from certs.schemes.models import ACT_WORDS
from training.people.forms import in_our_time
from training.people.models import Person

NOT_A_DAY = _("Give a day, such as 2026-11-30.")


class Colleague(forms.ModelChoiceField):
    """A person by name and employer, since two people may share a name; of one employer alone by name and number."""

    across = True

    def label_from_instance(self, obj: Person) -> str:  # type: ignore[override]
        """Return the words of one choice."""
        apart = obj.employer.name if self.across else obj.number
        return f"{obj.name}, {apart}" if apart else obj.name


def day_field(label: str, *, required: bool = True) -> forms.DateField:
    """Return a field for a day that is read in one way only: year, month, day."""
    return forms.DateField(
        label=label,
        required=required,
        input_formats=["%Y-%m-%d"],
        widget=forms.DateInput(attrs={"type": "date", "class": "short"}, format="%Y-%m-%d"),
        error_messages={"invalid": NOT_A_DAY, "required": NOT_A_DAY},
        validators=[in_our_time],
    )


class GrantForm(forms.Form):
    """Who may do what, from when and until when."""

    person = Colleague(
        Person.objects.none(),
        label=_("Person"),
        empty_label=_("Choose a person"),
        error_messages={"required": _("Choose a person."), "invalid_choice": _("Choose a person from the list.")},
    )
    act = forms.ChoiceField(
        label=_("Permission"),
        choices=[(act.value, words) for act, words in ACT_WORDS.items()],
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Choose one of the permissions."),
            "invalid_choice": _("Choose one of the permissions in the list."),
        },
    )
    from_on = day_field(_("From"))
    until_on = day_field(_("Until, that day included (optional)"), required=False)

    def __init__(self, *args: object, people: QuerySet[Person], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["person"].queryset = people.select_related("employer")  # type: ignore[attr-defined]
        self.fields["until_on"].help_text = _(
            "To end a permission, give it again with the same first day and its last day."
        )

    def clean(self) -> None:
        """Put a last day that comes too early beside its field."""
        first, last = self.cleaned_data.get("from_on"), self.cleaned_data.get("until_on")
        if first and last and last < first:
            self.add_error("until_on", _("Give a last day that is not before the first."))


class TrainedForm(forms.Form):
    """Whom the trainer trained, and until when."""

    candidate = Colleague(
        Person.objects.none(),
        label=_("Person trained"),
        empty_label=_("Choose a person"),
        error_messages={"required": _("Choose a person."), "invalid_choice": _("Choose a person from the list.")},
    )
    ended_on = day_field(_("Last day of training"))

    def __init__(self, *args: object, people: QuerySet[Person], on: date, **kwargs: object) -> None:
        super().__init__(*args, initial={"ended_on": on}, **kwargs)  # type: ignore[arg-type]
        self.fields["candidate"].queryset = people.select_related("employer")  # type: ignore[attr-defined]
