"""What an invigilator types on the candidate's device."""

from django import forms
from django.utils.translation import gettext_lazy as _


class HereForm(forms.Form):
    """The invigilator's own user name and password: they sign for who sits down, and are not signed in by it."""

    username = forms.CharField(
        label=_("Trainer's user name"),
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}),
        error_messages={"required": _("Type your own user name.")},
    )
    password = forms.CharField(
        label=_("Trainer's password"),
        max_length=1024,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
        error_messages={"required": _("Type your own password: it is your signature.")},
    )
    seen = forms.BooleanField(
        label=_("I know this candidate, or have seen a document with a photograph, and see them sit down."),
        error_messages={"required": _("Tick the box once you have made sure who this is.")},
    )
