"""The values of one situation as people type them; one that cannot be used gives way to a starting value."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from training.calc.leads import CLASS_5
from training.questions.reading import Unreadable, read
from training.questions.units import convert, fits, to_si, unit
from training.trials.queries import UNITS, set_to, typed
from training.trials.rules import START, Setting

HIDDEN = "\N{REPLACEMENT CHARACTER}"


class Quantity(forms.CharField):
    """A number with or without its unit, from low to high in the unit asked for; comes out in SI."""

    def __init__(self, *, spelling: str, low: float, high: float, whole: bool = False, **options: Any) -> None:
        self.spelling, self.low, self.high, self.whole = spelling, low, high, whole
        symbol = unit(spelling).symbol
        self.sentence = format_lazy(
            _("Give a whole number from {low} to {high}.") if whole else _("Give a number from {low} to {high}{unit}."),
            low=f"{low:g}".replace("-", "\N{MINUS SIGN}"),
            high=f"{high:g}",
            unit=f"\N{NO-BREAK SPACE}{symbol}" if symbol else "",
        )
        mode = "numeric" if whole else "text" if low < 0 else "decimal"  # some decimal pads have no minus
        widget = forms.TextInput(attrs={"inputmode": mode, "autocomplete": "off", "spellcheck": "false"})
        super().__init__(widget=widget, error_messages={"required": self.sentence}, **options)

    def clean(self, value: Any) -> float:
        """Return the value in SI; raise ValidationError with what to type instead."""
        text = super().clean(value)
        try:
            found = read(text, like=self.spelling)
        except Unreadable as error:
            # Where there are digits the reader knows what is unclear about them.
            clue = f"{error.sentence} " if any(map(str.isdigit, text)) else ""
            raise forms.ValidationError(f"{clue}{self.sentence}") from error
        spelling = found.unit or self.spelling
        if not fits(spelling, self.spelling):
            raise forms.ValidationError(self.sentence)
        exact = convert(found.value, spelling, self.spelling)
        if not self.low <= exact <= self.high or (self.whole and exact.denominator != 1):
            raise forms.ValidationError(self.sentence)
        return int(exact) if self.whole else float(to_si(exact, self.spelling))


def _quantity(name: str, label: Any, low: float, high: float, *, whole: bool = False) -> Quantity:
    return Quantity(spelling=UNITS[name], low=low, high=high, whole=whole, label=label)


class TrialForm(forms.Form):
    """One situation. Bound to the address as it is: what is missing there takes its starting value."""

    rest_voltage = _quantity("rest_voltage", _("Rest voltage of the pack, V"), 24, 45)
    pack_resistance = _quantity("pack_resistance", _("Resistance of the pack at 20 °C, mΩ"), 1, 90)
    cell_temperature = _quantity("cell_temperature", _("Temperature of the cells, °C"), -25, 45)
    capacity = _quantity("capacity", _("Capacity of the pack, Ah"), 1, 100)
    fired = _quantity("fired", _("Shots fired since the charge"), 0, 1000, whole=True)
    leads = forms.TypedChoiceField(
        label=_("Leads"),
        choices=[("on", _("Both in the circuit")), ("off", _("Taken off"))],
        coerce=lambda value: value == "on",
        error_messages={"invalid_choice": _("Choose one in the list."), "required": _("Choose one in the list.")},
    )
    lead_area = forms.TypedChoiceField(
        label=_("Size of the leads"),
        choices=[(str(size), f"{size} mm²") for size, _ohms in CLASS_5],
        coerce=lambda value: int(value) * 1e-6,
        error_messages={"invalid_choice": _("Choose one in the list."), "required": _("Choose one in the list.")},
    )
    air_temperature = _quantity("air_temperature", _("Temperature of air and copper, °C"), -50, 50)
    earth_resistance = _quantity("earth_resistance", _("Earth contact, mΩ"), 0, 200)
    other_resistance = _quantity("other_resistance", _("Plugs, switch and other contacts, mΩ"), 0, 200)
    arc_resistance = _quantity("arc_resistance", _("Model A: arc as a resistance, mΩ"), 10, 500)
    arc_voltage = _quantity("arc_voltage", _("Model B: arc as a voltage, V"), 0, 40)
    wire_area = _quantity("wire_area", _("Fuse wire, taken as copper, mm²"), 0.05, 10)
    burn_time = _quantity("burn_time", _("Burn time, s"), 0.01, 10)
    meter_share = _quantity("meter_share", _("Meter: part of the reading, %"), 0, 10)
    meter_digits = _quantity("meter_digits", _("Meter: digits of 0.01 V"), 0, 100, whole=True)

    GROUPS = (
        (_("Pack"), ("rest_voltage", "pack_resistance", "cell_temperature", "capacity", "fired")),
        (_("Circuit"), ("leads", "lead_area", "air_temperature", "earth_resistance", "other_resistance")),
        (_("Arc, both models"), ("arc_resistance", "arc_voltage")),
        (_("Wire and burn"), ("wire_area", "burn_time")),
        (_("Meter that read the rest voltage"), ("meter_share", "meter_digits")),
    )

    def __init__(self, sent: Mapping[str, str]) -> None:
        starts = {name: typed(name, getattr(START, name)) for name in self.base_fields}
        super().__init__({name: _printable(sent.get(name, start)) for name, start in starts.items()})
        for name, field in self.fields.items():
            if isinstance(field, forms.TypedChoiceField) and not field.valid_value(self.data[name]):
                # An address may name anything: show it as it came, beside the sentence that refuses it.
                field.widget.choices = [*field.choices, (self.data[name], self.data[name])]

    def clean(self) -> dict[str, Any]:
        """Refuse a meter without any error: nothing could be said about how sure its reading is."""
        if self.cleaned_data.get("meter_share") == 0 and self.cleaned_data.get("meter_digits") == 0:
            self.add_error("meter_share", _("No meter is without error. Give a part of the reading, digits, or both."))
        return self.cleaned_data

    def full_clean(self) -> None:
        """Say beside each refused value which one takes its place."""
        super().full_clean()
        for name, errors in self.errors.items():
            # One sentence, not two in a list: the summary links each entry to the field.
            errors.data[:] = [forms.ValidationError(" ".join([*errors, self._instead(name)]))]

    def _instead(self, name: str) -> str:
        start, choices = getattr(START, name), dict(getattr(self.fields[name], "choices", ()))
        used = choices.get(typed(name, start)) or set_to(name, start)
        return gettext("The starting value is used instead: %(used)s.") % {"used": used}

    def setting(self) -> Setting:
        """Return the situation, with a starting value in place of each that could not be used."""
        self.is_valid()  # fills cleaned_data with what could be used
        return Setting(**{name: self.cleaned_data.get(name, getattr(START, name)) for name in self.fields})

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """Return the fields in their groups, each with its name."""
        return [(says, [self[name] for name in names]) for says, names in self.GROUPS]


def _printable(text: str) -> str:
    """Replace what no page can hold, such as a null or half a character; every kind of space becomes a plain one."""
    return "".join(sign if sign.isprintable() else " " if sign.isspace() else HIDDEN for sign in text)
