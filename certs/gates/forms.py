"""What a gate asks, as parameters of an address, and the form that makes a token."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from certs.cards.rules import tidy_number
from certs.gates.queries import Asked
from certs.schemes.models import Scheme
from training.people.models import Employer

WHOM = ("person", "number", "card")
PARAMETERS = (*WHOM, "scheme", "on")
DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
UNREADABLE = gettext_lazy("Send text in UTF-8, without control characters.")


class AskedForm(forms.Form):
    """The parameters of a question; each fault is one sentence under the name of its parameter."""

    person = forms.CharField(required=False, max_length=60, strip=False)
    number = forms.CharField(required=False, max_length=40)
    card = forms.CharField(required=False, max_length=40)
    scheme = forms.CharField(required=False, max_length=50)
    on = forms.CharField(required=False, max_length=10)

    def __init__(self, parameters: QueryDict) -> None:
        super().__init__(parameters)
        self.parameters = parameters

    def clean(self) -> dict[str, Any]:
        """Look at what is there, what is there twice, and what should not be there."""
        facts = super().clean() or {}
        for name in self.parameters:
            self._check_parameter(name)
        if not set(WHOM) & set(self.errors):
            self._check_whom(facts)
        facts["scheme"] = self._scheme(str(facts.get("scheme", "")), needed=not facts.get("card"))
        facts["on"] = self._day(str(facts.get("on", "")))
        return facts

    def asked(self) -> Asked:
        """Return what is asked, once the form is valid."""
        return Asked(**self.cleaned_data)

    def sentences(self) -> list[Mapping[str, str]]:
        """Return each fault with the parameter it is about."""
        return [
            {"parameter": "" if name == "__all__" else name, "detail": " ".join(found)}
            for name, found in self.errors.items()
        ]

    def _check_parameter(self, name: str) -> None:
        if name not in PARAMETERS:
            words = _("There is a parameter that is not known here. Known are: %(names)s.")
            self._say(None, words % {"names": ", ".join(PARAMETERS)})
        elif len(self.parameters.getlist(name)) > 1:
            self._say(name, _("Give this parameter once."))
        elif name not in self.errors and not _readable(self.parameters[name]):
            self._say(name, str(UNREADABLE))

    def _check_whom(self, facts: dict[str, Any]) -> None:
        if len([name for name in WHOM if facts.get(name)]) != 1:
            words = _("Give one of three: person, a user name; number, the employer's own; card, the number on a card.")
            self._say("person", words)
        elif facts["card"]:
            facts["card"] = tidy_number(facts["card"])
            if not facts["card"]:
                self._say("card", _("This cannot be a card number: two letters, then two groups of four, no slip."))

    def _scheme(self, slug: str, *, needed: bool) -> Scheme | None:
        if not slug:
            if needed and "scheme" not in self.errors:
                self._say("scheme", _("Give the scheme by its short name, as in the address of its page."))
            return None
        found = Scheme.objects.filter(slug=slug).first() if "scheme" not in self.errors else None
        if found is None and "scheme" not in self.errors:
            known = Scheme.objects.order_by("slug").values_list("slug", flat=True)
            words = _("There is no scheme of that short name. Known are: %(names)s.")
            self._say("scheme", words % {"names": ", ".join(known)})
        return found

    def _day(self, text: str) -> date | None:
        if not text:
            return None
        try:
            return date.fromisoformat(text) if DAY.fullmatch(text) else self._no_day()
        except ValueError:
            return self._no_day()

    def _no_day(self) -> None:
        if "on" not in self.errors:
            self._say("on", _("Give the day as year, month and day, such as 2026-11-25, or leave it out for today."))

    def _say(self, name: str | None, sentence: str) -> None:
        self.add_error(name, sentence)


def _readable(text: str) -> bool:
    """Say whether a text was UTF-8 and holds no control characters and no halves of surrogate pairs."""
    return text.isprintable() and "\ufffd" not in text


class TokenForm(forms.Form):
    """Whose gate asks, and what the token is called in the list."""

    employer = forms.ModelChoiceField(
        Employer.objects.none(),
        label=gettext_lazy("Employer"),
        empty_label=gettext_lazy("Choose an employer"),
        error_messages={
            "required": gettext_lazy("Choose an employer."),
            "invalid_choice": gettext_lazy("Choose one of the employers in the list."),
        },
    )
    name = forms.CharField(
        label=gettext_lazy("Name of the token"),
        help_text=gettext_lazy("The gate or system that will ask with it, such as: depot gate, north."),
        max_length=60,
        error_messages={"required": gettext_lazy("Name the gate or system, so that the list tells which is which.")},
    )

    def __init__(self, *args: Any, employers: QuerySet[Employer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["employer"]
        # A supervisor has one, and need not choose.
        field.empty_label = None if employers.count() == 1 else field.empty_label
        field.queryset = employers
