"""What is assumed of the kit of a day."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from certs.jobs.rules import Kit
from training.questions.rounding import printed

PRACTICE = _("Common practice, no source.")
ASSUMED = _("Assumed, no source.")
INFERRED = _("Inferred, not measured.")
COMPUTED = _("Computed from one small cell.")


def _number(
    label: Any, between: tuple[float, float], initial: float, origin: Any, *, advice: Any = ""
) -> forms.FloatField:
    low, high = between
    says = format_lazy(_("Give a number from {low} to {high}."), low=printed(str(low), ""), high=high)
    errors = dict.fromkeys(("required", "invalid", "min_value", "max_value"), says)
    widget = forms.NumberInput(attrs={"class": "short", "step": "any"})
    field = forms.FloatField(label=label, min_value=low, max_value=high, widget=widget, error_messages=errors)
    field.initial, field.help_text, field.origin = initial, format_lazy("{} {}", origin, advice), origin  # type: ignore[attr-defined]
    return field


class KitForm(forms.Form):
    """What is assumed of the day. Each figure says where it comes from, and is to be put right by who knows better."""

    test_bonds = _number(_("Test bonds at the start of the day"), (0, 50), 2, PRACTICE)
    repeats = _number(_("Shots to be repeated, %"), (0, 30), 6, ASSUMED, advice=_("Count your own."))
    confidence = _number(_("Enough on so many days of 100"), (50, 99.9), 95, PRACTICE, advice=_("Choose yours."))
    capacity = _number(
        _("Capacity of a pack, Ah"),
        (2, 60),
        14,
        INFERRED,
        advice=_("It fits 100 to 120 shots a charge. Read your pack's plate."),
    )
    usable = _number(_("Share of it that is used, %"), (20, 100), 90, PRACTICE)
    current = _number(_("Current of a shot, A"), (150, 400), 240, PRACTICE, advice=_("Measure it."))
    shot_time = _number(
        _("Time of a shot, s"), (0.8, 4), 1.75, INFERRED, advice=_("It lies between 1.5 and 2. Measure it.")
    )
    charger = _number(_("Current of a charger, A"), (0.5, 30), 2, PRACTICE, advice=_("Read its plate."))
    hours = _number(_("Time on the charger between two days, h"), (1, 48), 12, ASSUMED)
    cells = _number(
        _("Temperature of the cells, °C"),
        (-25, 15),
        5,
        ASSUMED,
        advice=_("Of the cells of packs kept warm, not of the air; wind chill has no part in it."),
    )
    resistance = _number(
        _("Resistance of the warm pack, mΩ"),
        (5, 100),
        20,
        COMPUTED,
        advice=_("20 to 30 is usual. Measure it."),
    )

    def __init__(self, asked: Any, *, cold: bool) -> None:
        usual = {name: field.initial for name, field in self.base_fields.items()}
        super().__init__({**usual, **{name: asked[name] for name in usual if name in asked}})
        if not cold:
            del self.fields["cells"], self.fields["resistance"]

    def kit(self) -> Kit | None:
        """Return what is assumed, or None where it cannot be read."""
        if not self.is_valid():
            return None
        typed = self.cleaned_data
        more = {"pack_resistance": typed["resistance"] / 1000} if "resistance" in typed else {}
        return Kit(
            test_bonds=round(typed["test_bonds"]),
            repeat_share=typed["repeats"] / 100,
            confidence=typed["confidence"] / 100,
            capacity_ah=typed["capacity"],
            usable_share=typed["usable"] / 100,
            current=typed["current"],
            shot_time=typed["shot_time"],
            charger_current=typed["charger"],
            charging_hours=typed["hours"],
            cells=typed.get("cells"),
            **more,
        )

    def assumed(self) -> Iterator[tuple[str, str, str]]:
        """Yield each figure that is assumed: its words, its value, where it comes from."""
        for name, field in self.fields.items():
            yield str(field.label), printed(f"{self.cleaned_data[name]:g}", ""), str(field.origin)  # type: ignore[attr-defined]
