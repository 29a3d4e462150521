"""A declared exception, its refusal, and a decision."""

from django import forms
from django.utils.translation import gettext_lazy as _


class ExceptionForm(forms.Form):
    """Why an assessor who trained the candidate is to sign, and what keeps it fair."""

    why = forms.CharField(
        label=_("Why nobody else can assess"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say why no other assessor can come.")},
    )
    safeguard = forms.CharField(
        label=_("Safeguard"),
        help_text=_("For instance: a second assessor watches, or the practical is filmed and kept."),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say what keeps the assessment fair.")},
    )


class RefusalForm(forms.Form):
    """Why an exception is refused."""

    reason = forms.CharField(
        label=_("Why it is refused"),
        help_text=_("The assessor and the candidate read it."),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say why: the assessor and the candidate read it.")},
    )


class DecisionForm(forms.Form):
    """Grant or refuse, with reasons."""

    granted = forms.ChoiceField(
        label=_("Decision"),
        choices=[("yes", _("Grant the card")), ("no", _("Refuse the card"))],
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose: grant or refuse."), "invalid_choice": _("Choose: grant or refuse.")},
    )
    reasons = forms.CharField(
        label=_("Reasons"),
        help_text=_("They stay on the record, and the candidate reads them."),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": _("Write the reasons: they stay on the record.")},
    )
