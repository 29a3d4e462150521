"""Questions as one form, built from what the person who answers may see."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from django import forms
from django.forms.boundfield import BoundField
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from training.bank import rules
from training.bank.queries import SheetQuestion

MEANT = "empties_meant"
Answers = Mapping[int, Mapping[str, Any]]


class Sheet(Protocol):
    """Whatever holds questions to be answered on one page."""

    @property
    def questions(self) -> tuple[SheetQuestion, ...]:
        """The questions in their order."""


def field_name(position: int, part: str) -> str:
    """Return the name of a part's field; each line of an ordering adds its own id."""
    return f"q{position}-{part}"


def typed(sheet: Sheet, post: QueryDict) -> dict[int, dict[str, Any]]:
    """Return what was sent for this sheet, by place and part; a name that belongs to no field is never looked at."""
    return {
        question.position: rules.tidy(
            question.shown["parts"],
            {part["name"]: _sent(post, question.position, part) for part in question.shown["parts"]},
        )
        for question in sheet.questions
    }


def kept(sheet: Sheet) -> dict[int, Mapping[str, Any]]:
    """Return what was last kept for this sheet, by place and part."""
    return {question.position: question.given for question in sheet.questions}


def _sent(post: QueryDict, position: int, part: Mapping[str, Any]) -> Any:
    name = field_name(position, part["name"])
    if part["answer"] == "order":
        return {option["id"]: post.get(f"{name}-{option['id']}") for option in part["options"]}
    return post.getlist(name) if part["answer"] == "several" else post.get(name, "")


@dataclass(frozen=True, slots=True)
class PartFields:
    """A part as the page shows it: one field, or for an ordering a field a line."""

    label: str
    unit: str
    field: BoundField | None
    lines: tuple[BoundField, ...]


@dataclass(frozen=True, slots=True)
class QuestionFields:
    """A question as the page shows it."""

    position: int
    prompt: str
    givens: tuple[tuple[str, str], ...]
    parts: tuple[PartFields, ...]


class SheetForm(forms.Form):
    """One field a part; an ordering has one a line. With `asks`, empty answers are asked about once."""

    def __init__(self, sheet: Sheet, answers: Answers, *, asks: bool = False, meant: bool = False) -> None:
        """Build the fields and fill in the answers, which `typed` or `kept` has brought into shape."""
        self.sheet, self.asks = sheet, asks
        self.empty = sum(_empty(question, answers) for question in sheet.questions)
        super().__init__(_data(sheet, answers) | {MEANT: meant})
        for question in sheet.questions:
            for part in question.shown["parts"]:
                self.fields |= _fields(question.position, part)
        words = ngettext(
            "%(number)s question is empty: hand in all the same",
            "%(number)s questions are empty: hand in all the same",
            self.empty,
        )
        self.fields[MEANT] = forms.BooleanField(required=False, label=words % {"number": self.empty})

    @property
    def asking(self) -> bool:
        """Say whether the box about empty answers belongs on the page."""
        return bool(self.asks and self.empty)

    @property
    def questions(self) -> Iterator[QuestionFields]:
        """Give the questions with their fields, in their order."""
        for question in self.sheet.questions:
            parts = tuple(self._part(question.position, part) for part in question.shown["parts"])
            shown = question.shown
            yield QuestionFields(question.position, shown["prompt"], rules.givens(shown), parts)

    def _part(self, position: int, part: Mapping[str, Any]) -> PartFields:
        name, label = field_name(position, part["name"]), _label(position, part)
        if part["answer"] == "order":
            return PartFields(label, "", None, tuple(self[f"{name}-{option['id']}"] for option in part["options"]))
        return PartFields(label, part["unit"] if part["answer"] == "number" else "", self[name], ())

    def clean_empties_meant(self) -> bool:
        """Ask once whether empty answers are meant."""
        if self.asking and not self.cleaned_data[MEANT]:
            raise forms.ValidationError(_("Fill them in, or tick the box and hand in again."))
        return bool(self.cleaned_data[MEANT])

    def ask_again(self, problems: Iterable[rules.Problem]) -> None:
        """Put a sentence beside each answer that cannot be read."""
        for problem in problems:
            name = field_name(problem.position, problem.part)
            at = name if name in self.fields else next(one for one in self.fields if one.startswith(f"{name}-"))
            self.add_error(at, problem.sentence)
            widget = self.fields[at].widget
            if not isinstance(widget, forms.RadioSelect):  # crispy marks those itself, and would have two classes
                widget.attrs["class"] = f"{widget.attrs.get('class', '')} is-invalid".strip()


def _empty(question: SheetQuestion, answers: Answers) -> bool:
    given = answers.get(question.position, {})
    return any(rules.blank(given.get(part["name"])) for part in question.shown["parts"])


def _data(sheet: Sheet, answers: Answers) -> dict[str, Any]:
    """Return answers under the names of their fields."""
    data: dict[str, Any] = {}
    for question in sheet.questions:
        for part in question.shown["parts"]:
            name = field_name(question.position, part["name"])
            value = answers.get(question.position, {}).get(part["name"])
            if part["answer"] == "order":
                data |= {f"{name}-{one}": place for one, place in rules.places(value).items()}
            elif value is not None:
                data[name] = value
    return data


def _label(position: int, part: Mapping[str, Any]) -> str:
    says = part["prompt"] or _("your answer")
    unit = part["unit"] if part["answer"] == "number" else ""
    words = _("Question %(position)s: %(says)s (in %(unit)s)") if unit else _("Question %(position)s: %(says)s")
    return words % {"position": position, "says": says, "unit": unit}


def _fields(position: int, part: Mapping[str, Any]) -> dict[str, forms.Field]:
    name, label = field_name(position, part["name"]), _label(position, part)
    choices = [(option["id"], option["text"]) for option in part["options"]]
    match part["answer"]:
        case "number":
            # A keypad for decimals may lack the minus and the comma, so the whole keyboard is asked for.
            attrs = {"inputmode": "text", "class": "form-control", "maxlength": rules.LONGEST, "spellcheck": "false"}
            widget = forms.TextInput(attrs)
            return {name: forms.CharField(label=label, required=False, widget=widget, help_text=_rounding(part))}
        case "one":
            one = forms.ChoiceField(label=label, required=False, choices=choices, widget=forms.RadioSelect)
            return {name: one}
        case "several":
            widget = forms.CheckboxSelectMultiple
            several = forms.MultipleChoiceField(label=label, required=False, choices=choices, widget=widget)
            several.help_text = _("Choose every one that is right.")
            return {name: several}
        case _:
            numbers = [("", "-"), *((str(n), str(n)) for n in range(1, len(choices) + 1))]
            return {
                f"{name}-{one}": forms.ChoiceField(label=text, required=False, choices=numbers) for one, text in choices
            }


def _rounding(part: Mapping[str, Any]) -> str:
    if part["decimals"]:
        words = ngettext("Give %(number)s decimal.", "Give %(number)s decimals.", part["decimals"])
        return words % {"number": part["decimals"]}
    whole = {"up": _("A whole number, rounded up."), "down": _("A whole number, rounded down.")}
    return whole.get(part["round"], _("To the nearest whole number."))
