"""The page of a draft as one form: every field keeps what was typed, and bears the sentences of the check."""

from collections.abc import Iterable
from dataclasses import dataclass

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext as _

from training.drafts import queries, rules
from training.drafts.forms import fields
from training.drafts.forms.fields import Choices
from training.drafts.models import Draft
from training.drafts.rules import Objection, Typed

EDITS = "edits"
HIDDEN = (EDITS, "values", "shows")


@dataclass(frozen=True, slots=True)
class RowFields:
    """A row of the page: its heading and what it says of the value, and its fields by the end of their name."""

    title: str
    says: str
    fields: dict[str, BoundField]

    @property
    def computed(self) -> bool:
        """Say whether the fields for a value worked out from others must be seen."""
        ends = ("computation", "inputs", "decimals")
        return any(self.fields[end].errors or self.fields[end].value() for end in ends)


class DraftForm(forms.Form):
    """Everything about one question. What is right is for the check to say: no field refuses anything by itself."""

    def __init__(self, draft: Draft, typed: Typed, *, edits: int, topics: Choices, steps: Choices) -> None:
        """Build the fields for the computation of the draft and fill in what was typed."""
        super().__init__({**typed, EDITS: str(edits)})
        self.typed, self.computation = typed, queries.computation(draft.computation)
        self.fields |= {name: forms.CharField(widget=forms.HiddenInput, required=False) for name in HIDDEN}
        self.fields |= fields.question(topics, fixed=draft.question_id is not None)
        for value in self.computation.inputs:
            self.fields |= fields.given(f"in-{value.name}-", value.name, fitting=_slot_unit(draft, value.name))
        for number in range(1, rules.rows_asked(typed, "values") + 1):
            title = _("added value %(number)d") % {"number": number}
            self.fields |= fields.named(f"value-{number}-", title) | fields.given(f"value-{number}-", title)
        for number in range(1, rules.rows_asked(typed, "shows") + 1):
            title = _("value of the working %(number)d") % {"number": number}
            self.fields |= fields.named(f"show-{number}-", title) | fields.show(f"show-{number}-", title)
        self.fields |= fields.answer(self.computation) | fields.working(steps)

    def bear(self, mistakes: Iterable[Objection]) -> None:
        """Put each sentence beside its field, or above the form where it belongs to none."""
        for one in mistakes:
            self.add_error(one.field if one.field in self.fields else None, one.sentence)

    def bound(self, names: Iterable[str]) -> list[BoundField]:
        """Return fields by name."""
        return [self[name] for name in names]

    @property
    def hidden(self) -> list[BoundField]:
        """Return what the page sends back without showing it."""
        return self.bound(HIDDEN)

    @property
    def head(self) -> list[BoundField]:
        """Return what stands above the values."""
        return self.bound(("key", "topic", "level", "minutes", "safety", "pool", "prompt"))

    @property
    def answer(self) -> list[BoundField]:
        """Return how the answer is asked for and marked."""
        ends = ("ask", "unit", "decimals", "round", "relative", "absolute", "reason")
        return self.bound([*(f"answer-{end}" for end in ends), "wrong"])

    @property
    def rest(self) -> list[BoundField]:
        """Return what stands below the values of the working."""
        return self.bound(("lines", "source", "steps", "enemies"))

    @property
    def inputs(self) -> list[RowFields]:
        """Return a row for each input of the computation."""
        return [
            RowFields(one.name, _says(one.says, one.unit, one.range), self._row(f"in-{one.name}-"))
            for one in self.computation.inputs
        ]

    @property
    def added_values(self) -> list[RowFields]:
        """Return the rows of values the author added."""
        return self._added("value", "values", _("Added value %(number)d"))

    @property
    def added_shows(self) -> list[RowFields]:
        """Return the rows of values for the working."""
        return self._added("show", "shows", _("Value of the working %(number)d"))

    def _added(self, kind: str, count: str, title: str) -> list[RowFields]:
        numbers = range(1, rules.rows_asked(self.typed, count) + 1)
        return [RowFields(title % {"number": one}, "", self._row(f"{kind}-{one}-")) for one in numbers]

    def _row(self, prefix: str) -> dict[str, BoundField]:
        return {name.removeprefix(prefix): self[name] for name in self.fields if name.startswith(prefix)}

    @property
    def places(self) -> list[str]:
        """Return the placeholders a prompt may hold."""
        rows = rules.given_rows(self.typed, self.computation.key)
        return [f"{{{row.name}}}" for row in rows if row.name]

    @property
    def working_places(self) -> list[str]:
        """Return the placeholders a line of the working may hold."""
        return [*self.places, *(f"{{{row.name}}}" for row in rules.show_rows(self.typed) if row.name), "{answer}"]


def _says(says: str, unit: str, limits: str) -> str:
    return ", ".join(filter(None, (f"{says} [{unit}]" if unit else says, limits)))


def _slot_unit(draft: Draft, name: str) -> str:
    return next(slot.unit for slot in rules.slots(draft.computation) if slot.name == name)
