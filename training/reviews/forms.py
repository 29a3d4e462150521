"""Forms: what is right instead, why not, what is asked about, and the answer."""

from collections.abc import Iterator, Sequence
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.questions.correcting import Change, What
from training.quizzes.rules import figure
from training.reviews import rules
from training.reviews.models import WISH_WORDS
from training.reviews.queries.appeals import PartLine
from training.reviews.rules import Offer, Wish

LONGEST = 2000
WHOLE = "whole"


def _reason(label: str, missing: str) -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": 4})
    return forms.CharField(label=label, widget=widget, max_length=LONGEST, error_messages={"required": missing})


class ProposeForm(forms.Form):
    """What is right instead: the question out, or for one of its parts other lines, another order, a wider answer."""

    def __init__(self, *args: Any, offers: Sequence[Offer], **kwargs: Any) -> None:
        """Build the fields of every part that can be put right."""
        super().__init__(*args, **kwargs)
        self.offers = [offer for offer in offers if offer.what is not None]
        names = {
            What.RIGHT: _("Other lines are right"),
            What.ORDER: _("Another order is right"),
            What.TOLERANCE: _("An answer farther away is right too"),
        }
        choices = [(f"{offer.name}", _named(str(names[offer.what]), offer, len(offers))) for offer in self.offers]
        choices.append((What.DROP.value, _("Take the question out: everyone gets its mark")))
        missing = _("Choose what is to be done.")
        self.fields["what"] = forms.ChoiceField(
            label=_("What is right instead?"),
            choices=choices,
            widget=forms.RadioSelect,
            error_messages={"required": missing, "invalid_choice": missing},
        )
        for offer in self.offers:
            self.fields |= dict(_fields(offer, len(offers)))
        self.fields["reason"] = _reason(_("Why the key is wrong"), _("Say why the key is wrong."))

    def change(self) -> Change:
        """Return the change that was asked for; the form must be valid."""
        chosen = self.cleaned_data["what"]
        offer = next((one for one in self.offers if one.name == chosen), None)
        if offer is None or offer.what is None:
            return Change(what=What.DROP)
        if offer.what is What.RIGHT:
            lines = tuple(offer.lines[int(place)] for place in self.cleaned_data[f"right-{offer.name}"])
            return Change(what=What.RIGHT, part=offer.name, lines=lines)
        if offer.what is What.ORDER:
            return Change(what=What.ORDER, part=offer.name, lines=self._order(offer))
        return Change(
            what=What.TOLERANCE,
            part=offer.name,
            absolute=self.cleaned_data[f"absolute-{offer.name}"],
            relative=self.cleaned_data[f"relative-{offer.name}"] / 100,
        )

    def _order(self, offer: Offer) -> tuple[str, ...]:
        """Return the lines by their places; one that takes another's place is left out, which the rules refuse."""
        places = {self.cleaned_data[f"place-{offer.name}-{n}"]: line for n, line in enumerate(offer.lines)}
        return tuple(places[str(n)] for n in range(1, len(offer.lines) + 1) if str(n) in places)


def _named(text: str, offer: Offer, parts: int) -> str:
    return _("%(what)s: %(prompt)s") % {"what": text, "prompt": offer.prompt} if parts > 1 else text


class ExactField(forms.CharField):
    """A number typed with a comma or a point, kept exactly; nothing typed is nothing."""

    def to_python(self, value: Any) -> Fraction:
        """Return the number, or say what to type."""
        text = str(super().to_python(value)).replace(",", ".")
        try:
            number = Decimal(text or 0)
        except InvalidOperation:
            number = Decimal("NaN")
        if not number.is_finite() or abs(number.adjusted()) > 12:
            raise forms.ValidationError(_("Write a number, such as 0.5."))
        return Fraction(number)


def _fields(offer: Offer, parts: int) -> Iterator[tuple[str, forms.Field]]:
    if offer.what is What.RIGHT:
        choices = [(str(n), line) for n, line in enumerate(offer.lines)]
        initial = [str(n) for n, line in enumerate(offer.lines) if line in offer.right]
        label = _named(_("Lines that are right (those of the key are ticked)"), offer, parts)
        box = forms.CheckboxSelectMultiple
        yield (
            f"right-{offer.name}",
            forms.MultipleChoiceField(label=label, choices=choices, initial=initial, widget=box, required=False),
        )
    elif offer.what is What.ORDER:
        places = [(str(n), str(n)) for n in range(1, len(offer.lines) + 1)]
        for number, line in enumerate(offer.lines):
            at = str(offer.right.index(line) + 1)
            name = f"place-{offer.name}-{number}"
            yield name, forms.ChoiceField(label=_("Place of: %s") % line, choices=places, initial=at)
    else:
        widget = forms.TextInput(attrs={"inputmode": "decimal"})
        label = _named(_("Right within this much (in %s) (optional)") % offer.unit, offer, parts)
        absolute = figure(offer.absolute, decimals=6)
        yield f"absolute-{offer.name}", ExactField(label=label, required=False, initial=absolute, widget=widget)
        label = _named(_("Right within this share (in %) (optional)"), offer, parts)
        relative = figure(offer.relative * 100, decimals=4)
        yield f"relative-{offer.name}", ExactField(label=label, required=False, initial=relative, widget=widget)


class ApplyForm(forms.Form):
    """The list of papers that was looked at."""

    digest = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)


class RefuseForm(forms.Form):
    """Why the key stays as it is."""

    refusal = _reason(
        gettext_lazy("Why it is not applied"),  # type: ignore[arg-type]
        gettext_lazy("Say why it is not applied."),  # type: ignore[arg-type]
    )


def _question(number: int, prompt: str) -> str:
    words = _("Question %(number)d: %(prompt)s") if prompt else _("Question %(number)d")
    return words % {"number": number, "prompt": prompt}


class AskForm(forms.Form):
    """What a candidate asks about, and why."""

    def __init__(self, *args: Any, questions: Sequence[tuple[int, str]], **kwargs: Any) -> None:
        """Offer the questions of the paper, and the way it was held."""
        super().__init__(*args, **kwargs)
        choices = [(str(number), _question(number, prompt)) for number, prompt in questions]
        missing = _("Choose what is to be looked at again.")
        self.fields["about"] = forms.ChoiceField(
            label=_("What is to be looked at again?"),
            choices=[("", _("Choose")), *choices, (WHOLE, WISH_WORDS[Wish.CONDUCT])],
            error_messages={"required": missing, "invalid_choice": missing},
        )
        self.fields["reason"] = _reason(_("Why? Say what you think is wrong."), _("Say why, in a sentence or two."))

    @property
    def position(self) -> int | None:
        """The place of the question asked about; None for the paper as a whole."""
        about = self.cleaned_data["about"]
        return None if about == WHOLE else int(about)


class AnswerForm(forms.Form):
    """The answer: whether the candidate was right to ask, the new shares, and the reason in words."""

    def __init__(self, *args: Any, lines: Sequence[PartLine], **kwargs: Any) -> None:
        """Ask for the share of every part of the question."""
        super().__init__(*args, **kwargs)
        self.lines = lines
        missing = _("Choose one of the two.")
        self.fields["upheld"] = forms.ChoiceField(
            label=_("Was the candidate right to ask?"),
            choices=[("yes", _("Yes")), ("no", _("No: the mark stays"))],
            widget=forms.RadioSelect,
            error_messages={"required": missing, "invalid_choice": missing},
        )
        for number, line in enumerate(lines, start=1):
            label = _("New mark, of 1 (only if yes)") if len(lines) == 1 else _("New mark of part %d, of 1") % number
            choices = [(str(share), figure(share)) for share in rules.shares_from(line.share)]
            self.fields[f"share-{line.name}"] = forms.ChoiceField(label=label, choices=choices, initial=str(line.share))
        self.fields["words"] = _reason(_("Answer to the candidate, with the reason"), _("Write the answer."))

    def clean(self) -> dict[str, Any]:
        """Refuse a yes that gives nothing where more can be given, and a no that gives more: an answer is for good."""
        typed = self.cleaned_data
        if not self.lines or "upheld" not in typed or any(f"share-{line.name}" not in typed for line in self.lines):
            return typed
        first = f"share-{self.lines[0].name}"
        raised = any(self.shares[line.name] != line.share for line in self.lines)
        if self.upheld and not raised and any(line.share < 1 for line in self.lines):
            self.add_error(first, _("You say yes, and the mark stays as it is. Choose the mark it should have."))
        if not self.upheld and raised:
            self.add_error(first, _("You say no, and the mark is another one. Choose yes, or leave the mark as it is."))
        return typed

    @property
    def upheld(self) -> bool:
        """Whether the candidate was right to ask."""
        return bool(self.cleaned_data["upheld"] == "yes")

    @property
    def shares(self) -> dict[str, Fraction]:
        """The share of every part."""
        return {line.name: Fraction(self.cleaned_data[f"share-{line.name}"]) for line in self.lines}
