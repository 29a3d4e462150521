"""The statement that a revision was read, the answer at a hold point, and looking for questions by topic."""

from collections.abc import Mapping

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from training.bank.forms import SheetForm
from training.procedures import queries
from training.procedures.queries import HoldPoint, HoldPoints


class ReadingForm(forms.Form):
    """Carries the number of the revision that was on the page."""

    revision = forms.IntegerField(min_value=1, widget=forms.HiddenInput)


class HoldForm(forms.Form):
    """Carries which question was answered on which try, as they were on the page."""

    revision = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    turn = forms.IntegerField(min_value=1, max_value=32767, widget=forms.HiddenInput)


class FindForm(forms.Form):
    """What to show of the questions."""

    topic = forms.ChoiceField(
        label=gettext_lazy("Topic"),
        choices=lambda: [("", _("All topics")), *queries.topics()],
        required=False,
        error_messages={"invalid_choice": gettext_lazy("Choose a topic in the list. Until then all are shown.")},
    )
    words = forms.CharField(label=gettext_lazy("Words of the question"), max_length=80, required=False)


def asked(holds: HoldPoints, *, refused: SheetForm | None = None) -> dict[str, list[tuple[HoldPoint, SheetForm]]]:
    """Return the questions of each step, each with its form; `refused` stands in for the one that was sent."""
    sent = refused.sheet if refused else None
    return {
        step: [(point, refused if refused and point is sent else SheetForm(point, {})) for point in points]
        for step, points in holds.by_step.items()
    }


def answered(holds: HoldPoints, facts: Mapping[str, int], step: str) -> HoldPoint | None:
    """Return the question that was answered, or None where it is not open on that try."""
    of_step = holds.by_step.get(step, ())
    return next(
        (
            point
            for point in of_step
            if point.question and (point.version, point.turn) == (facts["version"], facts["turn"])
        ),
        None,
    )
