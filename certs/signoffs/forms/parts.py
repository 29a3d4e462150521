"""Parts of the sheet: whose it is, its instruments, and its fields in groups as the page shows them."""

from dataclasses import dataclass

from django import forms
from django.forms import BoundField
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from certs.schemes.forms import day_field
from certs.signoffs.forms.fields import text_field
from certs.signoffs.models import TOOL_WORDS
from certs.signoffs.queries import Prompt
from certs.signoffs.rules import Tool

DIAL = {Tool.VOLT: "volt", Tool.SET: "set", Tool.SPARE: "spare"}
NEEDED = (Tool.VOLT, Tool.SET)


def tool_fields() -> dict[str, forms.Field]:
    """Return two fields for each instrument: its serial number and the last day its calibration is good."""
    fields: dict[str, forms.Field] = {}
    for tool, name in DIAL.items():
        label = _("{tool}, serial number") if tool in NEEDED else _("{tool}, serial number (optional)")
        says = _("Give the serial number of the instrument that was read.")
        needed = tool in NEEDED
        fields[f"{name}_meter"] = text_field(format_lazy(label, tool=TOOL_WORDS[tool]), 60, required=needed, says=says)
        fields[f"{name}_until"] = day_field(
            format_lazy(_("{tool}: calibration good to"), tool=TOOL_WORDS[tool]), required=needed
        )
    return fields


@dataclass(frozen=True, slots=True)
class CheckGroup:
    """The checks of one module: each with its field; `others` says whether one button may tick those not critical."""

    module: str
    title: str
    rows: tuple[tuple[Prompt, BoundField], ...]
    others: bool


@dataclass(frozen=True, slots=True)
class BondGroup:
    """The fields of one bond in the order of the work.

    `opened` says whether what is mostly as for the bond before stands open: at the first, and where something is wrong.
    """

    position: str
    own: tuple[BoundField, ...]
    carried: tuple[BoundField, ...]
    looks: tuple[BoundField, ...]
    readings: tuple[BoundField, ...]
    further: tuple[BoundField, ...]
    opened: bool


class Whose(forms.Form):
    """Of a sheet that was sent: whose it is, under which scheme, and which record it corrects."""

    candidate = forms.IntegerField(min_value=1, max_value=2**31 - 1)
    scheme = forms.SlugField()
    replaces = forms.UUIDField(required=False)
