"""What is typed about sittings: the consent, the page an answer comes from, time settled, retraining."""

import re
from collections.abc import Collection, Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from training.bank.rules import Problem
from training.people.forms import DayField
from training.people.models import Person
from training.quizzes.models import MOST_BREAK, MOST_TIME, Paper
from training.quizzes.queries import Sheet
from training.quizzes.rules import Page

PAGE, TURN, FLAG = "page", "turn-", "flag-"
_TOKEN = re.compile(r"[0-9a-f]{32}\Z")


def page_sent(sheet: Sheet, post: QueryDict, *, fresh: str) -> Page:
    """Return which page sent these answers, and what it knew. One that does not say is nobody's: `fresh`."""
    token = post.get(PAGE, "")
    places = [question.position for question in sheet.questions]
    known = bool(_TOKEN.match(token))
    return Page(
        id=token if known else fresh,
        turns={place: _whole(post.get(f"{TURN}{place}", "")) for place in places},
        flags={place: f"{FLAG}{place}" in post for place in places} if known else {},
    )


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 9 else 0


class AgreeForm(forms.Form):
    """The consent to the rules of a paper."""

    agreed = forms.BooleanField(
        label=gettext_lazy("I have read these rules and keep to them. I sit this paper myself."),
        error_messages={"required": gettext_lazy("Tick the box: without your agreement the paper stays closed.")},
    )


class EmptiesForm(forms.Form):
    """Whether empty answers are meant, asked once before a paper is handed in."""

    empties_meant = forms.BooleanField(
        error_messages={"required": gettext_lazy("Answer them, or tick the box and hand in again.")}
    )

    def __init__(self, data: Any, *, empty: int) -> None:
        """Ask about so many empty questions; with none nothing is asked."""
        super().__init__(data)
        if not empty:
            del self.fields["empties_meant"]
            return
        words = ngettext(
            "%(number)s question is empty: hand in all the same",
            "%(number)s questions are empty: hand in all the same",
            empty,
        )
        self.fields["empties_meant"].label = words % {"number": empty}


class PersonField(forms.ModelChoiceField):
    """A person, told apart by their employer."""

    def label_from_instance(self, person: Person) -> str:
        """Name the person and the employer."""
        return f"{person.name}, {person.employer}"


class PaperField(forms.ModelChoiceField):
    """A paper by its title."""

    def __init__(self, titles: dict[int, str]) -> None:
        """Offer these papers."""
        self.titles = titles
        papers: QuerySet[Paper] = Paper.objects.filter(pk__in=titles)
        errors = dict.fromkeys(("required", "invalid_choice"), _("Choose a paper."))
        super().__init__(papers, label=_("Paper"), empty_label=_("Choose a paper"), error_messages=errors)

    def label_from_instance(self, paper: Paper) -> str:
        """Give the title of the latest issue."""
        return self.titles[paper.pk]


class AboutForm(forms.Form):
    """Something to settle about a person and a paper."""

    act = ""

    def __init__(self, data: Any, *, people: QuerySet[Person], titles: dict[int, str]) -> None:
        """Offer these people and papers. Both forms of a page name their fields apart."""
        super().__init__(data, prefix=self.act)
        errors = dict.fromkeys(("required", "invalid_choice"), _("Choose a person."))
        person = PersonField(people, label=_("Person"), empty_label=_("Choose a person"), error_messages=errors)
        own = self.fields
        self.fields = {"person": person, "paper": PaperField(titles), **own}


class TimeForm(AboutForm):
    """More time, or breaks."""

    act = "time"

    factor = forms.DecimalField(
        label=gettext_lazy("Times the paper's own time"),
        help_text=gettext_lazy("1.25 makes 75 minutes of 60; 1 is the paper's own time."),
        min_value=Decimal(1),
        max_value=MOST_TIME,
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "short"}),
        localize=True,
        error_messages={
            name: gettext_lazy("Give a number from 1 to 3, such as 1.25.")
            for name in ("required", "invalid", "min_value", "max_value")
        },
    )
    break_minutes = forms.IntegerField(
        label=gettext_lazy("Minutes of breaks that stop the clock (optional)"),
        min_value=0,
        max_value=MOST_BREAK,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "short"}),
        error_messages={
            name: gettext_lazy("Give whole minutes from 0 to 120.") for name in ("invalid", "min_value", "max_value")
        },
    )
    reason = forms.CharField(
        label=gettext_lazy("Reason"),
        help_text=gettext_lazy("Only trainers and administrators see it. It is on no card and no result."),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": gettext_lazy("Give the reason in a few words.")},
    )

    def clean_break_minutes(self) -> int:
        """Return the minutes; none are none."""
        return self.cleaned_data["break_minutes"] or 0


class RetrainedForm(AboutForm):
    """Retraining given."""

    act = "retrained"

    ended_on = DayField(label=gettext_lazy("Last day of the retraining"))

    def __init__(self, data: Any, *, on: date, **offered: Any) -> None:
        """Refuse a day after `on`."""
        super().__init__(data, **offered)
        self.on = on

    def clean_ended_on(self) -> date:
        """Refuse training that has not been given yet."""
        day: date = self.cleaned_data["ended_on"]
        if day > self.on:
            raise ValidationError(_("Give a day that is not in the future."))
        return day


def forms_of(
    data: Any, *, act: str, on: date, people: QuerySet[Person], titles: dict[int, str]
) -> tuple[TimeForm, RetrainedForm]:
    """Return both forms of the page, the one that was sent filled in."""
    time = TimeForm(data if act == TimeForm.act else None, people=people, titles=titles)
    retrained = RetrainedForm(data if act == RetrainedForm.act else None, on=on, people=people, titles=titles)
    return time, retrained


def stale_words(places: Collection[int]) -> str:
    """Say which answers were left alone, and what to do."""
    words = ngettext(
        "A newer answer is already kept for question %(numbers)s. Load this page again to see it.",
        "Newer answers are already kept for questions %(numbers)s. Load this page again to see them.",
        len(places),
    )
    return words % {"numbers": ", ".join(map(str, places))}


def newer(sheet: Sheet, answers: Mapping[int, Mapping[str, Any]], stale: Collection[int]) -> Iterator[Problem]:
    """Yield, for each answer that was left alone, what this page sent, so that nothing typed is lost."""
    for question in sheet.questions:
        if question.position in stale:
            part = question.shown["parts"][0]
            words = _("A newer answer is already kept, and is shown here. This page had sent: %(sent)s")
            sent = answers.get(question.position, {}).get(part["name"]) or _("no answer")
            yield Problem(question.position, part["name"], words % {"sent": _told(part, sent)})


def _told(part: Mapping[str, Any], sent: Any) -> str:
    texts = {option["id"]: option["text"] for option in part["options"]}
    chosen = [sent] if isinstance(sent, str) else list(sent)
    return "; ".join(texts.get(one, one) for one in chosen)
