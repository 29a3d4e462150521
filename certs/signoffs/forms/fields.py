"""Fields that are typed in gloves: numbers as people write them, days, times, ticks."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from certs.arrivals.rules import Problem
from training.questions.reading import Unreadable, read
from training.questions.units import convert, fits, unit

BELOW = _("For keypads without a minus sign: tick it and type the digits.")
NOT_A_TIME = _("Give a time of day, such as 14:05.")


class Quantity(forms.CharField):
    """A number as people type it: decimal comma or point, any minus sign, with or without its unit.

    `step` is what the buttons beside it add and take off, where the script makes them.
    """

    def __init__(
        self, *, spelling: str, low: int | str, high: int | str, decimals: int, step: str = "", **options: Any
    ) -> None:
        self.spelling, self.decimals = spelling, decimals
        self.low, self.high = Decimal(low), Decimal(high)
        self.sentence = format_lazy(
            _("Give a number in {unit} from {low} to {high}, no finer than {step}."),
            unit=unit(spelling).symbol,
            low=str(low).replace("-", "\N{MINUS SIGN}"),
            high=high,
            step=Decimal(1).scaleb(-decimals),
        )
        attrs = {"inputmode": "decimal", "class": "short", "autocomplete": "off"}
        attrs |= {"data-step": step} if step else {}
        super().__init__(
            max_length=80, widget=forms.TextInput(attrs=attrs), error_messages={"required": self.sentence}, **options
        )

    def clean(self, value: Any) -> Decimal | None:
        """Return the number in the field's unit, exactly as typed; refuse what is out of range with the range."""
        text = super().clean(value)
        if not text:
            return None
        try:
            found = read(text, like=self.spelling)
        except Unreadable as error:
            # Where there are digits the reader knows what is unclear about them.
            clue = f"{error.sentence} " if any(map(str.isdigit, text)) else ""
            raise forms.ValidationError(f"{clue}{self.sentence}") from error
        if found.unit is not None and not fits(found.unit, self.spelling):
            raise forms.ValidationError(self.sentence)
        exact = convert(found.value, found.unit, self.spelling) if found.unit is not None else found.value
        whole = exact * 10**self.decimals
        if whole.denominator != 1 or not Fraction(self.low) <= exact <= Fraction(self.high):
            raise forms.ValidationError(self.sentence)
        return Decimal(whole.numerator).scaleb(-self.decimals)


def text_field(label: Any, most: int, *, required: bool = True, says: Any = "", help_text: Any = "") -> forms.CharField:
    """Return a field for a short text; `says` is what to do when it is empty."""
    return forms.CharField(
        label=label, max_length=most, required=required, help_text=help_text, error_messages={"required": says}
    )


def tick(label: Any, help_text: Any = "") -> forms.BooleanField:
    """Return a box that may stay empty."""
    return forms.BooleanField(label=label, help_text=help_text, required=False)


def time_field(label: Any, *, required: bool = True, help_text: Any = "") -> forms.TimeField:
    """Return a field for a time of day that is read in one way only: hours and minutes."""
    return forms.TimeField(
        label=label,
        required=required,
        help_text=help_text,
        input_formats=["%H:%M"],
        widget=forms.TimeInput(attrs={"type": "time", "class": "short"}, format="%H:%M"),
        error_messages={"required": NOT_A_TIME, "invalid": NOT_A_TIME},
    )


def choice(
    label: Any, choices: Any, *, required: bool = True, says: Any = "", radio: bool = False
) -> forms.ChoiceField:
    """Return a field for one of a few."""
    return forms.ChoiceField(
        label=label,
        choices=choices,
        required=required,
        widget=forms.RadioSelect if radio else forms.Select,
        error_messages={"required": says, "invalid_choice": says},
    )


def problems_of(form: forms.BaseForm) -> list[Problem]:
    """Return every sentence of a form with its field and what the page calls that field."""
    return [
        Problem("", "", str(sentence))
        if name == NON_FIELD_ERRORS
        else Problem(name, str(form.fields[name].label or ""), str(sentence))
        for name, sentences in form.errors.items()
        for sentence in sentences
    ]
