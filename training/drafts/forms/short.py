"""A computation chosen, a question taken into use, a question retired."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.drafts import queries


class ChooseForm(forms.Form):
    """A computation of the catalogue."""

    computation = forms.ChoiceField(
        choices=queries.computations,
        error_messages={
            "required": gettext_lazy("Choose a computation in the list."),
            "invalid_choice": gettext_lazy("Choose a computation in the list."),
        },
    )


class UseForm(forms.Form):
    """The question whose draws were seen and, for a new version, what changed."""

    digest = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)

    def __init__(self, *args: Any, asks: bool, **kwargs: Any) -> None:
        """Ask what changed where there is an earlier version."""
        super().__init__(*args, **kwargs)
        if asks:
            self.fields["changed"] = forms.CharField(
                label=_("What changed, and why"),
                widget=forms.Textarea(attrs={"rows": 3}),
                max_length=2000,
                error_messages={"required": _("Say what changed, and why.")},
            )


class RetireForm(forms.Form):
    """Why a question goes out of use."""

    reason = forms.CharField(
        label=gettext_lazy("Why it is retired"),
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=2000,
        error_messages={"required": gettext_lazy("Say why the question is retired.")},
    )
