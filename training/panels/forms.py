"""What is typed about panels: who sits on one, what a judge expects, a paragraph of the minutes."""

from collections.abc import Iterable, Mapping

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.panels import rules
from training.people.forms import PeopleField
from training.people.models import Person

EXTENT_WORDS = {
    rules.Extent.PAPER: gettext_lazy("as many as stand on a paper"),
    rules.Extent.TWICE: gettext_lazy("twice as many"),
    rules.Extent.ALL: gettext_lazy("every question a paper may draw"),
}
LONGEST = 4000


class JudgesForm(forms.Form):
    """Who sits on the panel."""

    people = PeopleField(
        label=gettext_lazy("Judges"),
        help_text=gettext_lazy("Trainers who know the work. At least five for a result that is valid; more is better."),
        queryset=Person.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": gettext_lazy("Choose the judges."),
            "invalid_choice": gettext_lazy("Somebody has left the list. Choose the judges again."),
        },
    )

    def __init__(self, data: Mapping[str, object] | None, trainers: QuerySet[Person]) -> None:
        """Offer these people."""
        super().__init__(data)
        field = self.fields["people"]
        field.queryset = trainers  # type: ignore[attr-defined]
        field.label_from_instance = lambda one: f"{one.name}, {one.employer}"  # type: ignore[attr-defined]


class OpenForm(JudgesForm):
    """A panel to open."""

    extent = forms.ChoiceField(
        label=gettext_lazy("Questions to look at"),
        help_text=gettext_lazy("Drawn by the paper's own plan. About a minute and a half a question and round."),
        choices=[(one.value, words) for one, words in EXTENT_WORDS.items()],
        initial=rules.Extent.PAPER,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), gettext_lazy("Choose how many questions.")),
    )


class SheetForm(forms.Form):
    """A judge's estimates, a field a question; an empty one waits."""

    round = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(
        self, data: Mapping[str, object] | None, positions: Iterable[int], *, number: int, kept: Mapping[int, int]
    ) -> None:
        """Make the fields and fill in what was kept."""
        super().__init__(data, initial={"round": number} | {field_name(place): kept.get(place) for place in positions})
        self.positions = tuple(positions)
        for place in self.positions:
            self.fields[field_name(place)] = _percent(place)

    @property
    def percents(self) -> dict[int, int | None]:
        """Return what was typed, by position; the form must be valid."""
        return {place: self.cleaned_data[field_name(place)] for place in self.positions}


def field_name(position: int) -> str:
    """Return the name of a question's field."""
    return f"q{position}"


def _percent(position: int) -> forms.IntegerField:
    label = _("Question %(position)d: of 100 just-competent persons, how many get it right?")
    says = _("Give a whole number from 0 to 100, or leave it empty for now.")
    return forms.IntegerField(
        label=label % {"position": position},
        required=False,
        min_value=0,
        max_value=rules.FULL,
        widget=forms.TextInput(attrs={"class": "short", "inputmode": "numeric", "maxlength": 3}),
        error_messages={"invalid": says, "min_value": says, "max_value": says},
    )


class CloseForm(forms.Form):
    """The number of the round that was on the page: pressed twice, it closes one round."""

    round = forms.IntegerField(min_value=rules.FIRST, max_value=rules.SECOND, widget=forms.HiddenInput)


class MinuteForm(forms.Form):
    """A paragraph of the minutes."""

    text = forms.CharField(
        label=gettext_lazy("What was said"),
        help_text=gettext_lazy("Kept with your name and the day, and never changed. Put a mistake right in a new one."),
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": gettext_lazy("Write what was said, then keep it.")},
    )
