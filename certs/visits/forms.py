"""Asking for a visit, declining one, and asking another trainer."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from certs.schemes.forms import Colleague, day_field
from certs.schemes.models import SchemeIssue
from training.people.forms import PeopleField
from training.people.models import Employer, Person


class _Issue(forms.ModelChoiceField):
    def label_from_instance(self, obj: SchemeIssue) -> str:  # type: ignore[override]
        return obj.title


class _People(PeopleField):
    across = False

    def label_from_instance(self, obj: Person) -> str:  # type: ignore[override]
        return f"{obj.name}, {obj.employer.name}" if self.across else obj.name


class _Trainer(Colleague):
    assesses: Mapping[int, str] = MappingProxyType({})

    def label_from_instance(self, obj: Person) -> str:  # type: ignore[override]
        label = super().label_from_instance(obj)
        return f"{label}: {self.assesses[obj.pk]}" if obj.pk in self.assesses else label


class AskForm(forms.Form):
    """Whom a trainer comes for, under which scheme, when and where."""

    employer = forms.ModelChoiceField(
        Employer.objects.none(),
        label=_("Employer"),
        empty_label=_("Choose an employer"),
        error_messages={
            "required": _("Choose an employer."),
            "invalid_choice": _("Choose one of the employers in the list."),
        },
    )
    issue = _Issue(
        SchemeIssue.objects.none(),
        label=_("Scheme"),
        empty_label=_("Choose a scheme"),
        error_messages={
            "required": _("Choose a scheme."),
            "invalid_choice": _("Choose one of the schemes in the list."),
        },
    )
    on = day_field(_("Day"))
    place = forms.CharField(
        label=_("Place"),
        help_text=_("Where the trainer comes to: depot, yard or training track."),
        max_length=120,
        error_messages={"required": _("Say where the trainer comes to.")},
    )
    trainer = _Trainer(
        Person.objects.none(),
        label=_("Trainer"),
        help_text=_("With each name the schemes under which the trainer may assess."),
        empty_label=_("Choose a trainer"),
        error_messages={
            "required": _("Choose a trainer."),
            "invalid_choice": _("Choose one of the trainers in the list."),
        },
    )
    people = _People(
        Person.objects.none(),
        label=_("For whom"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": _("Choose at least one person whom the visit is for."),
            "invalid_choice": _("Choose people from the list."),
        },
    )

    def __init__(
        self,
        *args: Any,
        employers: QuerySet[Employer],
        issues: QuerySet[SchemeIssue],
        trainers: QuerySet[Person],
        assesses: Mapping[int, str],
        people: QuerySet[Person],
        **kwargs: Any,
    ) -> None:
        """Offer what the viewer may choose from; an employer that is the only one is not asked for.

        `assesses` says by trainer under which schemes they may assess.
        """
        super().__init__(*args, **kwargs)
        offered: dict[str, QuerySet[Any]] = {"employer": employers, "issue": issues, "trainer": trainers}
        for name, choices in (offered | {"people": people}).items():
            self.fields[name].queryset = choices  # type: ignore[attr-defined]
        self.fields["trainer"].assesses = assesses  # type: ignore[attr-defined]
        only = list(employers[:2])
        self.only = only[0] if len(only) == 1 else None
        if self.only is not None:
            del self.fields["employer"]
        else:
            self.fields["people"].across = True  # type: ignore[attr-defined]

    @property
    def chosen(self) -> Employer:
        """Return the employer: the only one, or the one that was chosen."""
        return self.only if self.only is not None else self.cleaned_data["employer"]


class DeclineForm(forms.Form):
    """Why the trainer does not come."""

    reason = forms.CharField(
        label=_("Why not, and which day would do"),
        max_length=200,
        error_messages={"required": _("Say why you decline, so that another day can be found.")},
    )


class OfferForm(forms.Form):
    """Which trainer is asked in the place of the one who declined."""

    trainer = Colleague(
        Person.objects.none(),
        label=_("Another trainer"),
        empty_label=_("Choose a trainer"),
        error_messages={
            "required": _("Choose a trainer."),
            "invalid_choice": _("Choose one of the trainers in the list."),
        },
    )

    def __init__(self, *args: Any, trainers: QuerySet[Person], **kwargs: Any) -> None:
        """Offer these trainers."""
        super().__init__(*args, **kwargs)
        self.fields["trainer"].queryset = trainers  # type: ignore[attr-defined]
