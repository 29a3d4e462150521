"""What is typed with a photo for a card: the file, and the consent."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from certs.photos.forms import photo_field
from certs.photos.models import FAULT_WORDS
from certs.photos.rules import MOST_BYTES, Fault
from training.people.forms import DayField


class PortraitForm(forms.Form):
    """One's own photo, with what one agrees to."""

    photo = photo_field(
        _("Photo of the face, from the front, without a hat"),
        required=True,
        error_messages={"required": _("Choose a photo."), "empty": FAULT_WORDS[Fault.EMPTY]},
    )
    agreed = forms.BooleanField(
        label=_("I agree that my photo is printed on my card."),
        error_messages={"required": _("Tick this if you agree. Without it no photo is kept.")},
    )
    at_check = forms.BooleanField(
        label=_("I agree as well that whoever checks my card by its number or code sees the photo (optional)."),
        required=False,
    )

    def clean_photo(self) -> bytes:
        """Read the file, unless it is longer than any photo may be."""
        sent: UploadedFile = self.cleaned_data["photo"]
        if sent.size > MOST_BYTES:
            raise ValidationError(FAULT_WORDS[Fault.TOO_LONG])
        return bytes(sent.read())


class PortraitOfAnotherForm(PortraitForm):
    """A photo that an administrator puts up for somebody, with how that person agreed."""

    how = forms.CharField(
        label=_("How the person agreed"),
        help_text=_("For example: signed the form of 12 March, kept in the office."),
        max_length=300,
        error_messages={"required": _("Say how the person agreed, such as: signed the form of 12 March.")},
    )
    field_order = ("photo", "agreed", "at_check", "agreed_on", "how")

    def __init__(self, *args: Any, on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["agreed_on"] = DayField(label=_("Day on which the person agreed"), initial=on)
        self.fields["agreed"].label = _("The person agrees that the photo is printed on their card.")
        self.fields["agreed"].error_messages["required"] = _("Tick this if the person agrees: else no photo is kept.")
        self.fields["at_check"].label = _(
            "The person agrees as well that whoever checks the card by its number or code sees the photo (optional)."
        )
        self.order_fields(self.field_order)


def form_for(typed: Any, files: Any, *, own: bool, on: date) -> PortraitForm:
    """Return the form for one's own photo or for somebody else's."""
    return PortraitForm(typed, files) if own else PortraitOfAnotherForm(typed, files, on=on)
