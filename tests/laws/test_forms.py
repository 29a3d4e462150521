"""What is said of a wrong field: in the words of the site, never in those of the frame that reads the form.

And that nothing is ended for good by one press.
"""

import re
from collections.abc import Iterator

from django import forms
from django.conf import settings
from django.urls import get_resolver
from django.utils.translation import gettext

# What a phone or a button sends by itself: nobody types it, so nobody reads what was wrong with it.
BY_ITSELF = {
    "certs.photos.forms.AboutForm",
    "certs.signoffs.forms.parts.Whose",
    "training.amendments.forms.short.MoveForm",
}
# Buttons that end something and need no page that asks first; common practice, no source.
NEED_NO_PAGE = {
    "amendments:refuse": "the author begins again from the same text",
    "crewing:take_back": "the plan is accepted again",
    "jobs:close": "the job is put back on the list",
    "mfa_deactivate_totp": "stands on a page that asks, with an address of allauth",
    "mfa_remove_webauthn": "stands on a page that asks, with an address of allauth",
}
ONE_PRESS = re.compile(r"<form[^>]*action=\"{% url '([\w:]+)'(?:(?!</form>).)*?<button[^>]*btn-danger", re.DOTALL)
BOUNDS = ("min_value", "max_value")


def of_the_site(start: type[forms.Form]) -> Iterator[type[forms.Form]]:
    """Yield every form of this project, below `start`."""
    for one in start.__subclasses__():
        yield from of_the_site(one)
        if one.__module__.startswith(("training.", "certs.")) and not one.__module__.startswith("training.config."):
            yield one


def asked(field: forms.Field) -> Iterator[str]:
    """Yield the faults that somebody who types or chooses can make in a field."""
    if field.required:
        yield "required"
    if isinstance(field, forms.IntegerField):
        yield "invalid"
    if isinstance(field, forms.ChoiceField | forms.ModelChoiceField):
        yield "invalid_choice"
    for name in BOUNDS:
        if getattr(field, name, None) is not None:
            yield name


def borrowed(field: forms.Field) -> list[str]:
    """Return the faults of a field for which Django's own sentence would stand, those of its classes."""
    theirs: dict[str, object] = {}
    for one in reversed(type(field).__mro__):
        theirs |= one.__dict__.get("default_error_messages", {}) if one.__module__.startswith("django.") else {}
    return [
        name for name in asked(field) if str(field.error_messages.get(name, "")) in {"", gettext(str(theirs.get(name)))}
    ]


class TestEveryField:
    def test_has_words_of_its_own(self) -> None:
        """Of a page's fields; some forms add fields as they are made, and those have tests of their own."""
        assert get_resolver().url_patterns
        found = {f"{one.__module__}.{one.__qualname__}": one for one in of_the_site(forms.Form)}
        wrong = [
            (where, name, faults)
            for where, one in sorted(found.items())
            if where not in BY_ITSELF
            for name, field in one.base_fields.items()
            if not isinstance(field.widget, forms.HiddenInput) and (faults := borrowed(field))
        ]
        assert len(found) > 40
        assert wrong == []

    def test_offers_a_sentence_and_no_dashes(self) -> None:
        """Where nothing is chosen yet the list says what to choose."""
        dashes = forms.ModelChoiceField(None).empty_label
        every = [(one, name, field) for one in of_the_site(forms.Form) for name, field in one.base_fields.items()]
        assert [
            (one.__qualname__, name)
            for one, name, field in every
            if getattr(field, "empty_label", None) == dashes and not isinstance(field.widget, forms.HiddenInput)
        ] == []

    def test_would_be_noticed_without(self) -> None:
        """The plain fields of Django, which say "This field is required." and the like."""
        assert borrowed(forms.CharField()) == ["required"]
        assert borrowed(forms.IntegerField(min_value=1)) == ["required", "invalid", "min_value"]
        assert borrowed(forms.ChoiceField(required=False)) == ["invalid_choice"]


class TestWhatEndsSomethingForGood:
    def test_is_asked_for_once_more(self) -> None:
        """A button that ends something stands on a page of its own, or what it does can be taken back at once.

        WCAG 2.2, 3.3.4: reversible, checked or confirmed.
        """
        texts = [path.read_text() for path in (settings.BASE_DIR / "templates").rglob("*.html")]
        assert {name for text in texts for name in ONE_PRESS.findall(text)} == set(NEED_NO_PAGE)
        assert sum('{% extends "ask_first.html" %}' in text for text in texts) > 10
