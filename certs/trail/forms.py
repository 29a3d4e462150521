"""What narrows the ledger down."""

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.utils.functional import lazy
from django.utils.translation import gettext_lazy as _

from certs.trail.queries import ACT_WORDS, KINDS, Asked
from training.people.forms import DayField

LONGEST_SEQ = 2**53


def _acts() -> list[tuple[str, Any]]:
    return [("", _("Any act")), *sorted(ACT_WORDS.items(), key=lambda one: str(one[1]))]


class AskedForm(forms.Form):
    """Who, what, when, and about which record; all of it may be left out."""

    person = forms.CharField(label=_("By whom (name or number)"), max_length=120, required=False)
    act = forms.ChoiceField(
        label=_("What"),
        required=False,
        choices=lazy(_acts, list)(),
        error_messages={"invalid_choice": _("Choose one of the acts in the list.")},
    )
    first = DayField(label=_("From"), required=False)
    last = DayField(label=_("To"), required=False)
    kind = forms.ChoiceField(
        label=_("About"),
        required=False,
        choices=[("", _("Anything")), *((name, kind.label) for name, kind in KINDS.items())],
        error_messages={"invalid_choice": _("Choose one of the kinds in the list.")},
    )
    # As in the address of its page; of a card, also what is printed on it.
    record = forms.CharField(label=_("Its number"), max_length=40, required=False)
    before = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=1, max_value=LONGEST_SEQ)

    def clean(self) -> dict[str, Any]:
        """Refuse days the wrong way round, and a record of no kind."""
        given = super().clean() or {}
        first, last = given.get("first"), given.get("last")
        if first and last and last < first:
            self.add_error("last", _("Give a last day that is not before the first."))
        if given.get("record") and not given.get("kind") and "kind" not in self.errors:
            self.add_error("kind", _("Choose what kind of record the number is of."))
        return given

    def asked(self) -> Asked:
        """Return what is asked, of a valid form."""
        return Asked(**self.cleaned_data)

    def address(self) -> str:
        """Return what narrows the list down as it stands in an address, without where the page begins."""
        names = [name for name in self.fields if name != "before" and self.data.get(name)]
        return urlencode([(name, self.data[name]) for name in names])
