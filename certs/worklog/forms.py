"""The form on which bonds made are recorded."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from certs.photos.forms import photo_field
from certs.photos.rules import MOST_BYTES
from certs.schemes.forms import day_field
from certs.schemes.models import Scheme, SchemeIssue
from certs.signoffs.forms import Quantity
from certs.worklog.rules import MOST_BONDS

SIGNED = {"air_below": "air_c", "pack_below": "pack_c"}


def _below(label: Any) -> forms.BooleanField:
    says = _("For keypads without a minus sign: tick it and type the digits.")
    return forms.BooleanField(label=label, help_text=says, required=False)


class EntryForm(forms.Form):
    """Some bonds made in one place on one day."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    scheme = forms.ChoiceField(
        label=_("What was fixed"),
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Choose what was fixed."),
            "invalid_choice": _("Choose what was fixed from the list."),
        },
    )
    done_on = day_field(_("Day"))
    place = forms.CharField(
        label=_("Place"),
        help_text=_("Line and distance, or the yard."),
        max_length=120,
        error_messages={"required": _("Give the line and the distance, or the yard.")},
    )
    bonds = forms.IntegerField(
        label=_("How many bonds you made"),
        min_value=1,
        max_value=MOST_BONDS,
        widget=forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"}),
        error_messages={
            name: _("Give a whole number of bonds, such as 6.") for name in ("required", "invalid", "min_value")
        }
        | {"max_value": _("That is more than one crew makes in a day. Give the bonds you made yourself.")},
    )
    job = forms.CharField(label=_("Job number (optional)"), max_length=60, required=False)
    air_c = Quantity(
        label=_("Air temperature, °C (optional)"), spelling="degC", low=-60, high=60, decimals=1, required=False
    )
    air_below = _below(_("Air below zero"))
    pack_c = Quantity(
        label=_("Pack temperature, °C (optional)"), spelling="degC", low=-60, high=80, decimals=1, required=False
    )
    pack_below = _below(_("Pack below zero"))
    pack_v = Quantity(
        label=_("Pack at rest before the first bond, V (optional)"),
        spelling="V", low=24, high=45, decimals=2, required=False,
    )  # fmt: skip
    joint_uohm = Quantity(
        label=_("Highest joint of the job, µΩ (optional)"),
        spelling="uohm", low=0, high=100_000, decimals=2, required=False,
    )  # fmt: skip
    photo = photo_field(_("Photo of a bond (optional)"))

    def __init__(self, *args: Any, issues: Iterable[SchemeIssue], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.issues = {issue.scheme.slug: issue for issue in issues}
        self.fields["scheme"].choices = [(slug, issue.title) for slug, issue in self.issues.items()]  # type: ignore[attr-defined]

    def entry(self) -> dict[str, Any]:
        """Return the columns that were typed, with the Below zero boxes heeded."""
        names = ("done_on", "place", "bonds", "job", "air_c", "pack_c", "pack_v", "joint_uohm")
        typed = {name: self.cleaned_data[name] for name in names}
        for box, name in SIGNED.items():
            if self.cleaned_data[box] and typed[name] is not None:
                typed[name] = -abs(typed[name])
        return typed

    def chosen(self) -> Scheme:
        """Return the scheme that was chosen."""
        return self.issues[self.cleaned_data["scheme"]].scheme

    def picture(self) -> bytes | None:
        """Return the bytes of the photo, if one was chosen; one byte past the limit tells one that is too long."""
        file = self.cleaned_data["photo"]
        return file.read(MOST_BYTES + 1) if file else None
