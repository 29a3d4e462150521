"""The forms of this room: the answers with the box about help, and the choice about mail."""

from django import forms
from django.utils.translation import gettext_lazy as _

from training.bank.forms import Answers, Sheet, SheetForm

HELPED = "helped"


class DrillForm(SheetForm):
    """The questions of a drill, and whether they were answered with help."""

    def __init__(self, sheet: Sheet, answers: Answers, *, helped: bool = False) -> None:
        """Build the fields and fill in what was answered."""
        super().__init__(sheet, answers)
        self.data |= {HELPED: helped}
        self.fields[HELPED] = forms.BooleanField(
            required=False, label=_("I looked something up, or somebody helped me.")
        )


class MailForm(forms.Form):
    """Whether to be reminded by mail."""

    wanted = forms.BooleanField(required=False, label=_("Send me a mail when a refresher is due."))
