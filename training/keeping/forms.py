"""Asking whether the ledger holds a head that was kept elsewhere."""

from django import forms
from django.utils.translation import gettext_lazy as _

from training.ledger.rules import Head, read_head


class HeadForm(forms.Form):
    """A head as it stands in a mail or on the back of a card, or nothing."""

    head = forms.CharField(
        label=_("Head from a mail or the back of a card (optional)"),
        required=False,
        max_length=100,
        help_text=_("The number of the entry, a space, its mark."),
    )

    def clean_head(self) -> Head | None:
        """Read it. Refuses what is no head."""
        text = self.cleaned_data["head"]
        found = read_head(text)
        if text.strip() and found is None:
            raise forms.ValidationError(_("Type it as it is printed, such as 312 9f86d081884c7d65."))
        return found
