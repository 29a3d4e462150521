"""The statement that a revision was read."""

from django import forms


class ReadingForm(forms.Form):
    """Carries the number of the revision that was on the page."""

    revision = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
