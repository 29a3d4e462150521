"""The marks of a second assessor."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from certs.agreement.models import HOW_WORDS
from certs.agreement.rules import How

YES, NO, UNKNOWN = "yes", "no", "unknown"


class MarkForm(forms.Form):
    """One mark a step; a step that the record does not show is left out of the count."""

    def __init__(self, *args: Any, checks: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        """Ask for every step, then how it was marked, and that it was marked blind."""
        super().__init__(*args, **kwargs)
        self.checks = checks
        missing = _("Mark this step.")
        choices = [(YES, _("Done right")), (NO, _("Not done right")), (UNKNOWN, _("Cannot be told"))]
        for slug, text in checks:
            self.fields[f"step-{slug}"] = forms.ChoiceField(
                label=text, choices=choices, widget=forms.RadioSelect, error_messages={"required": missing}
            )
        self.fields["how"] = forms.ChoiceField(
            label=_("How you marked"),
            choices=[(how.value, words) for how, words in HOW_WORDS.items()],
            widget=forms.RadioSelect,
            error_messages={"required": _("Say whether you marked from the record or at the rail.")},
        )
        self.fields["remarks"] = forms.CharField(
            label=_("Remarks (optional)"), widget=forms.Textarea(attrs={"rows": 3}), max_length=2000, required=False
        )
        self.fields["blind"] = forms.BooleanField(
            label=_("I have not seen the marks of the first assessor"),
            error_messages={"required": _("If you have seen them, leave this practical to somebody else.")},
        )

    @property
    def marks(self) -> dict[str, bool | None]:
        """The mark of every step; None where it cannot be told."""
        meaning = {YES: True, NO: False, UNKNOWN: None}
        return {slug: meaning[self.cleaned_data[f"step-{slug}"]] for slug, _text in self.checks}

    @property
    def how(self) -> How:
        """How it was marked."""
        return How(self.cleaned_data["how"])
