"""What is told about a photo beside its bytes."""

from datetime import datetime
from typing import Any

from django import forms

from certs.arrivals.rules import Unreadable, moment


class AboutForm(forms.Form):
    """Whose photo it is, of which record, and when the phone took it."""

    made_by = forms.IntegerField(min_value=1)
    kind = forms.SlugField(max_length=20)
    record = forms.UUIDField()
    taken = forms.CharField(max_length=40)

    def clean_taken(self) -> datetime:
        """Read the phone's time with its offset."""
        try:
            return moment(self.cleaned_data["taken"])
        except Unreadable as fault:
            raise forms.ValidationError(str(fault)) from fault


def photo_field(label: Any, **options: Any) -> forms.FileField:
    """Return the field of a photo, optional if nothing else is said.

    Phones turn their own formats into JPEG where that alone is accepted.
    """
    widget = forms.ClearableFileInput(attrs={"accept": "image/jpeg"})
    return forms.FileField(label=label, max_length=200, widget=widget, **{"required": False} | options)
