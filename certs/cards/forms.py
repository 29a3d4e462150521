"""Forms about cards: the shape of what is typed, nothing more."""

from collections.abc import Iterable

from django import forms
from django.utils.translation import gettext_lazy as _


class ConfirmForm(forms.Form):
    """A supervisor's confirmation of work."""

    shots = forms.IntegerField(
        label=_("Bonds made since the last confirmation"),
        min_value=0,
        max_value=100_000,
        error_messages={
            "required": _("Give the number of bonds, also when there is none: 0."),
            "invalid": _("Give a whole number of bonds, such as 24."),
            "min_value": _("Give a whole number of bonds, such as 24."),
            "max_value": _("That is more bonds than anybody makes. Give the number since the last confirmation."),
        },
    )
    evidence = forms.CharField(
        label=_("Evidence, such as job numbers"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Name the evidence, such as job numbers.")},
    )
    doubts = forms.TypedChoiceField(
        label=_("Is there doubt about this person's skill?"),
        choices=[("no", _("No")), ("yes", _("Yes: the card is suspended at once"))],
        coerce=lambda answer: answer == "yes",
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Answer yes or no.")),
    )


class _Reasoned(forms.Form):
    """What is done to a card is done for a reason."""

    reason = forms.CharField(
        label=_("Reason"),
        help_text=_("It stays on the record. Name the event, not the person's character."),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Write the reason: it stays on the record.")},
    )


class MeasureForm(_Reasoned):
    """A measure on a card, with its reason."""

    field_order = ("step", "reason")
    step = forms.ChoiceField(
        label=_("Measure"),
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Choose one of the measures in the list.")),
    )

    def __init__(self, *args: object, steps: Iterable[tuple[str, str]], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["step"].choices = list(steps)  # type: ignore[attr-defined]


class LostForm(forms.Form):
    """Why a card gets a new number."""

    reason = forms.CharField(
        label=_("What became of the card"),
        help_text=_("For example: lost on site, or broken. It stays on the record."),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Write what became of the card: it stays on the record.")},
    )


class ReduceForm(_Reasoned):
    """The narrower scope of a card, and why."""

    field_order = ("scope", "limits", "reason")
    scope = forms.CharField(
        label=_("Scope from today"),
        help_text=_("What the holder may still do. Nothing may be added to the scope of the scheme."),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Write what the holder may still do. If that is nothing, withdraw the card.")},
    )
    limits = forms.CharField(
        label=_("Limits from today (optional)"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
    )
