"""Forms of the public check."""

from django import forms
from django.utils.translation import gettext_lazy as _


class NumberForm(forms.Form):
    """A card number as somebody reads it from the card."""

    number = forms.CharField(
        label=_("Card number"),
        help_text=_("As printed on the card: FB, then two groups of four. Small letters do as well."),
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
        error_messages={"required": _("Type the number that is printed on the card.")},
    )


class CodeForm(forms.Form):
    """The text of a scanned code."""

    code = forms.CharField(
        label=_("Text of the code"),
        help_text=_("The whole address that a code reader shows, or the part after the # sign."),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3, "autocomplete": "off", "spellcheck": "false"}),
        error_messages={"required": _("Paste the text that the code reader shows.")},
    )
