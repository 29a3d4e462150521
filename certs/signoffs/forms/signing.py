"""Signing: what the candidate confirms, what the assessor's name will say, and the assessor's password."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from certs.signoffs.queries import ToSign
from certs.signoffs.rules import Confirmed

CONFIRMS = _("It went as this sheet says, and I was told the result.")
Refusal = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class Row:
    """A sheet on the page, with its own fields."""

    sheet: ToSign
    fields: tuple[BoundField, ...]


class SigningForm(forms.Form):
    """The sheets that wait for this assessor, signed at one go.

    The candidate confirms with their own password, on the assessor's device: a tick there could be anybody's. Only
    where the candidate has no password yet does a box that names them stand in for it, and the record says which.
    After `is_valid`, `chosen` holds the sheets to sign, each with how its candidate confirmed.
    """

    password = forms.CharField(
        label=_("Your password again"),
        strip=False,
        max_length=1024,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": _("Type your password: it is your signature.")},
    )

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        sheets: Iterable[ToSign],
        refusal: Refusal,
        candidate_refusal: Callable[[ToSign, str], str],
        single: bool = False,
        proved: bool = False,
    ) -> None:
        """Lay out the sheets that may be signed; the refusals say why a password is not taken.

        `proved` is whether the assessor has just shown in another way that it is them: then no password is asked.
        """
        super().__init__(data)
        if proved:
            del self.fields["password"]
        self.sheets = [one for one in sheets if not one.why_not]
        self.refusal, self.candidate_refusal, self.single = refusal, candidate_refusal, single
        self.chosen: list[tuple[ToSign, Confirmed]] = []
        for one in self.sheets:
            for name, field in self._fields_of(one).items():
                self.fields[name] = field
        self.order_fields([name for name in self.fields if name != "password"])

    def _fields_of(self, one: ToSign) -> dict[str, forms.Field]:
        fields: dict[str, forms.Field] = {}
        if not self.single:
            label = _("Sign this sheet") if one.passed else _("Sign this sheet as not passed")
            fields[f"sign_{one.pk}"] = forms.BooleanField(label=label, required=False)
        elif not one.passed:
            # Not passed is signed on purpose, never by the way.
            fields[f"agreed_{one.pk}"] = forms.BooleanField(
                label=_("As written, this practical is not passed. I sign it as not passed."),
                error_messages={"required": _("Tick this to sign it as not passed, or send it back to be done again.")},
            )
        if one.has_password:
            fields[f"confirm_{one.pk}"] = forms.CharField(
                label=format_lazy(_("{name}: your own password"), name=one.candidate),
                help_text=CONFIRMS,
                strip=False,
                max_length=1024,
                required=False,
                widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
            )
        else:
            label = format_lazy(_("I am {name}. {confirms}"), name=one.candidate, confirms=CONFIRMS)
            fields[f"confirm_{one.pk}"] = forms.BooleanField(label=label, required=False)
        return fields

    def clean_password(self) -> str:
        """Refuse a password that is not the assessor's."""
        password: str = self.cleaned_data["password"]
        if sentence := self.refusal(password):
            raise forms.ValidationError(sentence)
        return password

    def clean(self) -> None:
        """Take the sheets that were ticked and that their candidates confirm."""
        picked = [one for one in self.sheets if self.single or self.cleaned_data.get(f"sign_{one.pk}")]
        if not picked:
            self.add_error(None, _("Tick at least one sheet to sign."))
        for one in picked:
            given = self.cleaned_data.get(f"confirm_{one.pk}")
            if not given:
                self.add_error(
                    f"confirm_{one.pk}",
                    format_lazy(_("{name} confirms this, nobody else."), name=one.candidate),
                )
            elif one.has_password and (sentence := self.candidate_refusal(one, str(given))):
                self.add_error(f"confirm_{one.pk}", sentence)
            self.chosen.append((one, Confirmed.PASSWORD if one.has_password else Confirmed.BOX))

    def rows(self) -> list[Row]:
        """Return each sheet with its fields."""
        return [
            Row(one, tuple(self[name] for name in self.fields if name.endswith(f"_{one.pk}"))) for one in self.sheets
        ]


class DoAgainForm(forms.Form):
    """Why a sheet is not signed."""

    reason = forms.CharField(
        label=_("Why it is done again"),
        help_text=_("The candidate reads it."),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say why: the candidate reads it, and does the practical again.")},
    )
