"""Writing a complaint, and each step that follows: the shape of what is typed, nothing more."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from certs.cards.models import Card
from certs.complaints.models import ABOUT_WORDS, CHANNEL_WORDS, FINDING_WORDS, ComplaintStep
from certs.complaints.queries import Page, askable, correctable
from certs.complaints.rules import About, Channel, Finding, Step
from certs.schemes.forms import Colleague, day_field
from training.people.models import Person

LONGEST = 4000
ABOUT_MISSING = _("Choose what the complaint is about.")


def _text(label: str | Promise, missing: str | Promise, *, rows: int = 5, help_text: str | Promise = "") -> Any:
    return forms.CharField(
        label=label,
        help_text=help_text,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": rows}),
        error_messages={"required": missing},
    )


class TooOften(Exception):
    """So many card numbers were asked for from this address that no more are looked up for now."""


class NewForm(forms.Form):
    """What happened, to whose work or to whom, when and where, and what is wanted."""

    about = forms.TypedChoiceField(
        label=_("What is it about?"),
        choices=[(one.value, capfirst(words)) for one, words in ABOUT_WORDS.items()],
        coerce=About,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), ABOUT_MISSING),
    )
    card = forms.CharField(
        label=_("Number of the card, if it is about somebody's work (optional otherwise)"),
        help_text=_("It stands on the front of the card, and in the answer to a check."),
        max_length=40,
        required=False,
    )
    of = Colleague(
        Person.objects.none(),
        label=_("Who it is about (optional)"),
        help_text=_("Not needed where you gave a card. Whoever you name here does not handle it."),
        empty_label=_("Nobody from this list"),
        required=False,
        error_messages={"invalid_choice": _("Choose somebody from the list, or nobody.")},
    )
    who = forms.CharField(label=_("Name, if it is not in the list (optional)"), max_length=120, required=False)
    happened_on = day_field(_("Day on which it happened (optional)"), required=False)
    place = forms.CharField(
        label=_("Place (optional)"), help_text=_("Line and kilometre, or the yard."), max_length=120, required=False
    )
    reference = forms.CharField(
        label=_("Bond record, job or joint (optional)"),
        help_text=_("The number under which it is found again."),
        max_length=80,
        required=False,
    )
    what = _text(
        _("What happened?"),
        _("Write what happened, in your own words."),
        rows=6,
        help_text=_("What you saw or measured, in the order in which it was. Facts help more than judgements."),
    )
    wanted = _text(_("What do you want to be done?"), _("Write what you want to be done."), rows=3)

    def __init__(
        self, *args: Any, nameable: QuerySet[Person], find: Callable[[str], Card | None], **kwargs: Any
    ) -> None:
        """Offer these people by name; `find` finds a card by its number."""
        super().__init__(*args, **kwargs)
        self.fields["of"].queryset = nameable  # type: ignore[attr-defined]
        self.find = find

    def clean_card(self) -> Card | None:
        """Find the card of the number that was typed."""
        number = self.cleaned_data["card"]
        try:
            found = self.find(number) if number else None
        except TooOften:
            says = _("Too many card numbers were asked for from here. Wait a quarter of an hour, then send this again.")
            raise forms.ValidationError(says) from None
        if number and found is None:
            raise forms.ValidationError(_("No card has this number. Compare it with the card: one letter is enough."))
        return found


class OutsideForm(NewForm):
    """A complaint that came by telephone, letter, mail or face to face, and from whom."""

    field_order = ("name", "channel", "came_on", "contact")
    name = forms.CharField(
        label=_("From whom"),
        help_text=_("Name, and the company or railway they speak for."),
        max_length=120,
        error_messages={"required": _("Write from whom the complaint came.")},
    )
    channel = forms.TypedChoiceField(
        label=_("How it came"),
        choices=[(one.value, capfirst(words)) for one, words in CHANNEL_WORDS.items()],
        coerce=Channel,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), _("Say how the complaint came.")),
    )
    came_on = day_field(_("Day on which it came"))
    contact = _text(
        _("How the answer reaches them"),
        _("Write how the answer reaches them: address, e-mail or telephone."),
        rows=2,
        help_text=_("Shown to nobody but those who handle complaints."),
    )


class WordsForm(forms.Form):
    """A step in words."""

    text = _text(_("In words"), _("Write it in words: it stays with the complaint."))

    def __init__(self, *args: Any, page: Page, label: str | Promise, help_text: str | Promise, **kwargs: Any) -> None:
        """Name the text by the step that it is for."""
        super().__init__(*args, **kwargs)
        self.fields["text"].label, self.fields["text"].help_text = label, help_text


class AskForm(WordsForm):
    """Whose side is asked for, and about what."""

    field_order = ("asked", "text")
    asked = Colleague(
        Person.objects.none(),
        label=_("Whose side"),
        empty_label=_("Choose a person"),
        error_messages={
            "required": _("Choose whose side is asked for."),
            "invalid_choice": _("Choose a person from the list."),
        },
    )

    def __init__(self, *args: Any, page: Page, **kwargs: Any) -> None:
        """Offer who is complained of first, else those a complaint may name."""
        super().__init__(*args, page=page, initial={"asked": page.complaint.of_id}, **kwargs)
        self.fields["asked"].queryset = askable(page.complaint, page.reader, on=page.on)  # type: ignore[attr-defined]


class FindForm(WordsForm):
    """What came out, and why."""

    field_order = ("finding", "text")
    finding = forms.TypedChoiceField(
        label=_("What came out"),
        choices=[(one.value, words) for one, words in FINDING_WORDS.items()],
        coerce=Finding,
        widget=forms.RadioSelect,
        error_messages=dict.fromkeys(
            ("required", "invalid_choice"), _("Say whether the complaint is right, in part or not.")
        ),
    )


class CloseForm(WordsForm):
    """The answer to who complained; to somebody outside it is sent by hand, and how is noted."""

    reached = forms.CharField(
        label=_("How you sent it to them"),
        help_text=_("This site sends mail only to people who have an account here."),
        max_length=120,
        error_messages={"required": _("Write how the answer was sent, such as letter of today.")},
    )

    def __init__(self, *args: Any, page: Page, **kwargs: Any) -> None:
        """Ask how it was sent only where the site cannot."""
        super().__init__(*args, page=page, **kwargs)
        if page.complaint.complainant_id:
            del self.fields["reached"]


class _Entry(forms.ModelChoiceField):
    def label_from_instance(self, obj: ComplaintStep) -> str:  # type: ignore[override]
        return f"{obj.on:%Y-%m-%d}, {obj.get_step_display()}: {obj.text[:60]}"


class PutRightForm(WordsForm):
    """Which entry is put right, and what is true."""

    field_order = ("corrects", "text")
    corrects = _Entry(
        ComplaintStep.objects.none(),
        label=_("Which entry"),
        empty_label=_("Choose an entry"),
        error_messages={
            "required": _("Choose the entry that is put right."),
            "invalid_choice": _("Choose an entry from the list."),
        },
    )

    def __init__(self, *args: Any, page: Page, **kwargs: Any) -> None:
        """Offer the entries that were written by who handles it."""
        super().__init__(*args, page=page, **kwargs)
        self.fields["corrects"].queryset = correctable(page.complaint)  # type: ignore[attr-defined]


FORMS: dict[Step, type[WordsForm]] = {
    Step.ASKED: AskForm,
    Step.FOUND: FindForm,
    Step.CLOSED: CloseForm,
    Step.PUT_RIGHT: PutRightForm,
}
LABELS = {
    Step.LAID_DOWN: (_("Why you lay it down"), _("Somebody else can take it up then.")),
    Step.ASKED: (
        _("What you ask"),
        _("They read this and what happened, and not who complained. Say what they have to know, and nothing more."),
    ),
    Step.SIDE: (_("Your side"), _("What you saw and did. Those who handle complaints read it, and nobody else.")),
    Step.WORD: (_("How far it is"), _("Whoever complained reads it, and gets it by mail.")),
    Step.FOUND: (_("Reason"), _("What you looked at, and what it shows. Whoever complained reads only the answer.")),
    Step.DONE: (_("What is done about it"), _("Also where it is nothing: then say why.")),
    Step.CLOSED: (
        _("The answer"),
        _("What came out and what is done about it, in plain words. Say nothing of others that is not theirs to know."),
    ),
    Step.PUT_RIGHT: (_("What is right"), _("The old entry stays. Whoever reads that one reads this one too.")),
}


def form_for(step: Step, page: Page, data: Any) -> WordsForm:
    """Return the form of a step with a complaint."""
    label, help_text = LABELS[step]
    return FORMS.get(step, WordsForm)(data, page=page, label=label, help_text=help_text)
