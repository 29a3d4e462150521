"""A step added or moved, an amendment approved or refused."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.amendments.rules import Move
from training.content.procedures import LONGEST_TITLE


class AddForm(forms.Form):
    """The title of a new step, and where it goes."""

    title = forms.CharField(
        label=gettext_lazy("Title of the step"),
        max_length=LONGEST_TITLE,
        error_messages={"required": gettext_lazy("Give the step a title: what is done, in a few words.")},
    )
    fault = forms.BooleanField(label=gettext_lazy("It is a fault to look up, not a step of the work"), required=False)

    def __init__(self, *args: Any, steps: list[tuple[str, str]], **kwargs: Any) -> None:
        """Offer the steps it may follow."""
        super().__init__(*args, **kwargs)
        self.fields["after"] = forms.ChoiceField(
            label=_("It comes after"),
            choices=[*steps, ("", _("all the others"))],
            required=False,
            error_messages={"invalid_choice": _("That step is no longer there. Choose another one.")},
        )


class MoveForm(forms.Form):
    """Which way a step goes."""

    move = forms.ChoiceField(choices=[(move.value, move.value) for move in Move])


class ApproveForm(forms.Form):
    """Carries the digest of the text that was on the page."""

    digest = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)


class RefuseForm(forms.Form):
    """Why an amendment is refused."""

    reason = forms.CharField(
        label=gettext_lazy("Why it is refused, and what would have to change"),
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=2000,
        error_messages={"required": gettext_lazy("Say why it is refused: the author goes on from there.")},
    )
