"""What is typed to erase what names a person."""

from django import forms
from django.utils.translation import gettext_lazy as _


class EraseForm(forms.Form):
    """The reference of a request, where the term is not over, and that it cannot be undone."""

    reference = forms.RegexField(
        r"^[\w./ -]*$",
        label=_("Reference of the request (optional once the term is over)"),
        max_length=40,
        required=False,
        help_text=_("Such as the number of the letter. It stays in the ledger for good, so no name in it."),
        error_messages={"invalid": _("Use letters, digits, spaces and . / - only.")},
    )
    sure = forms.BooleanField(
        label=_("I know that this cannot be undone"),
        error_messages={"required": _("Tick this to go on: what is erased does not come back.")},
    )
