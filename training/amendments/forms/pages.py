"""The two pages of an amendment as forms: every field keeps what was typed, and bears the sentences of the check."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext as _

from training.amendments import queries, rules
from training.amendments.rules import Objection
from training.content.procedures import Bound
from training.content.typed import LONGEST
from training.procedures.models import DEMAND_WORDS, OVERDUE_WORDS

CHANGED = "changed"


def _named(field: str, *, optional: bool = False) -> str:
    """Return the label of a field."""
    name = queries.label(field)
    return _("%(name)s (optional)") % {"name": name} if optional else name


def _text(label: str, *, help_text: str = "", short: bool = False, **attrs: str) -> forms.CharField:
    classes = {"class": "short"} if short else {}
    widget = forms.TextInput(attrs={**classes, **attrs, "maxlength": LONGEST})
    return forms.CharField(label=label, help_text=help_text, required=False, widget=widget)


def _area(label: str, *, rows: int, help_text: str = "") -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": rows, "maxlength": LONGEST})
    return forms.CharField(label=label, help_text=help_text, required=False, widget=widget)


def _choice(label: str, choices: Iterable[tuple[str, Any]], *, empty: str) -> forms.CharField:
    return forms.CharField(label=label, required=False, widget=forms.Select(choices=[("", empty), *choices]))


class _Page(forms.Form):
    """Fields filled in from the text. What is right is for the check to say: no field refuses anything by itself."""

    def __init__(self, filled: Mapping[str, str], fields: Mapping[str, forms.Field]) -> None:
        super().__init__(dict(filled))
        self.fields |= fields

    def bear(self, objections: Iterable[Objection]) -> None:
        """Put each sentence beside its field, or above the form where it belongs to none."""
        for one in objections:
            self.add_error(one.field if one.field in self.fields else None, one.sentence)


class PartsForm(_Page):
    """What changed, and the parts of the module beside its steps."""

    def __init__(self, text: Mapping[str, Any], what_changed: str) -> None:
        """Fill in what was typed."""
        super().__init__({CHANGED: what_changed, **rules.parts_fields(text)}, _parts())

    @property
    def change(self) -> list[BoundField]:
        """Return the words about the change."""
        return [self[CHANGED]]

    @property
    def parts(self) -> list[BoundField]:
        """Return the parts of the module."""
        return [self[name] for name in ("title", "purpose", *rules.LISTS)]

    @property
    def holders(self) -> list[BoundField]:
        """Return what is asked of card holders."""
        return [self[name] for name in ("demand", "within_days", "overdue", "questions")]


def _parts() -> dict[str, forms.Field]:
    one_a_line = _("One a line.")
    books = _("Books and standards, or: common practice. One a line.")
    faults = _("Which faults are mended in the field, and which send the tool in. One a line.")
    keys = _("Only where they answer questions: keys of questions in use, one a line.")
    changed = _("The crew reads this first, with the number of the revision.")
    return {
        CHANGED: _area(_named(CHANGED), rows=3, help_text=changed),
        "title": _text(_named("title")),
        "purpose": _area(_named("purpose"), rows=5),
        "tools": _area(_named("tools"), rows=8, help_text=one_a_line),
        "stops": _area(_named("stops"), rows=8, help_text=one_a_line),
        "field_limit": _area(_named("field_limit", optional=True), rows=5, help_text=faults),
        "sources": _area(_named("sources"), rows=5, help_text=books),
        "demand": _choice(_named("demand", optional=True), DEMAND_WORDS.items(), empty=_("nothing is asked")),
        "within_days": _text(_named("within_days", optional=True), short=True, inputmode="numeric"),
        "overdue": _choice(_named("overdue", optional=True), OVERDUE_WORDS.items(), empty=_("nothing chosen")),
        "questions": _area(_named("questions", optional=True), rows=2, help_text=keys),
    }


class StepForm(_Page):
    """One step with its figures, and an empty row for one more."""

    def __init__(self, step: Mapping[str, Any], drawings: Iterable[tuple[str, str]]) -> None:
        """Fill in what was typed."""
        filled = rules.step_fields(step)
        self.figures = min(len(step["figures"]) + 1, rules.MOST_FIGURES)
        fields = _step(drawings)
        for place in range(1, self.figures + 1):
            fields |= _figure(place)
        super().__init__(filled, fields)

    @property
    def head(self) -> list[BoundField]:
        """Return the fields above the figures."""
        names = ("title", "text", "why", "caution", "hold", "ask", "tools", "drawing")
        return [self[name] for name in names]

    @property
    def rows(self) -> list[list[BoundField]]:
        """Return the fields of each figure."""
        return [
            [
                self[f"figure-{place}-{name}"]
                for name in ("says", "bound", "value", "value_to", "unit", "source", "gone")
            ]
            for place in range(1, self.figures + 1)
        ]


def _step(drawings: Iterable[tuple[str, str]]) -> dict[str, forms.Field]:
    caution = _("What can hurt someone here, and what to do about it.")
    hold = _("What must be true before going on.")
    ask = _("Asked in place, without a mark: keys of questions in use for practice, one a line.")
    return {
        "title": _text(_named("title")),
        "text": _area(_named("text"), rows=6),
        "why": _area(_named("why"), rows=4),
        "caution": _area(_named("caution", optional=True), rows=3, help_text=caution),
        "hold": _area(_named("hold", optional=True), rows=2, help_text=hold),
        "ask": _area(_named("ask", optional=True), rows=2, help_text=ask),
        "tools": _area(_named("tools", optional=True), rows=3, help_text=_("One a line.")),
        "drawing": _choice(_named("drawing", optional=True), drawings, empty=_("no drawing")),
    }


def _figure(place: int) -> dict[str, forms.Field]:
    names = {name: _named(f"figure-{place}-{name}") for name in rules.FIGURE}
    bounds = [
        (Bound.AT_LEAST.value, _("at least")),
        (Bound.AT_MOST.value, _("at most")),
        (Bound.ABOUT.value, _("about")),
        (Bound.BETWEEN.value, _("between two values")),
    ]
    units = _("Such as V, mohm, mm2, degC; 1 for none.")
    source = _("The book or standard, or: common practice, no source.")
    fields = {
        "says": _text(names["says"]),
        "bound": _choice(names["bound"], bounds, empty=_("nothing chosen")),
        "value": _text(names["value"], short=True, inputmode="decimal"),
        "value_to": _text(names["value_to"], short=True, inputmode="decimal", help_text=_("Between two values only.")),
        "unit": _text(names["unit"], short=True, help_text=units),
        "source": _text(names["source"], help_text=source),
        "gone": forms.BooleanField(label=_("Take figure %(number)d out") % {"number": place}, required=False),
    }
    return {f"figure-{place}-{name}": field for name, field in fields.items()}
