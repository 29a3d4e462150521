"""What the board may be asked."""

from datetime import date
from functools import lru_cache
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.forms.utils import flatatt
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from certs.board.queries import WORDS, Asked, scheme_rows, value_of
from certs.board.rules import ORDER, UNASKED
from certs.schemes.models import Scheme
from training.people.access import Viewer, crews_seen_by, employers_seen_by, sites_seen_by
from training.people.forms import in_our_time
from training.people.models import Crew, Employer, Site

WITHIN = (7, 30, 60, 90, 180)


OPTION = '<option value="{}">{}</option>'
CHOSEN = '<option value="{}" selected>{}</option>'


@lru_cache(maxsize=128)
def _options(choices: tuple[tuple[str, str], ...], chosen: str) -> SafeString:
    return format_html_join(
        "", "{}", ((format_html(CHOSEN if one == chosen else OPTION, one, words),) for one, words in choices)
    )


class LongSelect(forms.Select):
    """A list of choices written at one go: a template for each of hundreds would cost more than the page."""

    # In the place of a property that walks the list each time it is set.
    choices: Any = ()

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        """Write the list with its choice."""
        return format_html(
            "<select{}>{}</select>",
            flatatt({**self.build_attrs(self.attrs, attrs), "name": name}),
            _options(tuple((str(one), str(words)) for one, words in self.choices), str(value or "")),
        )


class AtOneGo:
    """Writes an input without a template."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        """Write the input with what was typed."""
        made = self.get_context(name, value, attrs)["widget"]  # type: ignore[attr-defined]
        typed = "" if made["value"] is None else format_html(' value="{}"', made["value"])
        return format_html('<input type="{}" name="{}"{}{}>', made["type"], name, typed, flatatt(made["attrs"]))


class TextInput(AtOneGo, forms.TextInput):
    """A line of text."""


class DateInput(AtOneGo, forms.DateInput):
    """A day."""


class RowField(forms.Field):
    """A choice among rows of the database, told by their number."""

    widget = LongSelect

    def __init__(self, *, everything: Any, **more: Any) -> None:
        super().__init__(required=False, **more)
        self.everything = everything

    def offer(self, rows: QuerySet[Any], *names: str) -> None:
        """Offer these rows under the values of these columns."""
        self.rows = rows
        self.offered = {str(pk): ": ".join(words) for pk, *words in rows.values_list("pk", *names)}
        self.widget.choices = [("", self.everything), *self.offered.items()]

    def clean(self, value: Any) -> Any:
        """Return the chosen row, or None."""
        if not value:
            return None
        if value not in self.offered:
            raise ValidationError(self.error_messages["invalid_choice"])
        return self.rows.get(pk=value)


class BoardForm(forms.Form):
    """A day and what to show of it; whatever cannot be read is left out and said beside its field."""

    on = forms.DateField(
        label=_("On the day"),
        required=False,
        input_formats=["%Y-%m-%d"],
        widget=DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("Give a day, such as 2026-11-30. Until then this page shows today.")},
        validators=[in_our_time],
    )
    name = forms.CharField(label=_("Name, or how it begins"), required=False, max_length=80, widget=TextInput)
    employer = RowField(
        label=_("Employer"),
        everything=_("All"),
        error_messages={"invalid_choice": _("Choose one of the employers in the list. Until then all are shown.")},
    )
    site = RowField(
        label=_("Site"),
        everything=_("All"),
        error_messages={"invalid_choice": _("Choose one of the sites in the list. Until then all are shown.")},
    )
    crew = RowField(
        label=_("Crew"),
        everything=_("All"),
        error_messages={"invalid_choice": _("Choose one of the crews in the list. Until then all are shown.")},
    )
    scheme = forms.ChoiceField(
        label=_("Scheme"),
        required=False,
        widget=LongSelect,
        error_messages={"invalid_choice": _("Choose one of the schemes in the list. Until then all are shown.")},
    )
    standing = forms.ChoiceField(
        label=_("Standing"),
        required=False,
        widget=LongSelect,
        choices=[("", _("All")), *((value_of(one), WORDS[one]) for one in ORDER if one not in UNASKED)],
        error_messages={"invalid_choice": _("Choose one of the standings in the list. Until then all are shown.")},
    )
    within = forms.TypedChoiceField(
        label=_("Card ends"),
        required=False,
        widget=LongSelect,
        coerce=int,
        empty_value=None,
        choices=[("", _("Any day")), *((days, _("within %(days)d days") % {"days": days}) for days in WITHIN)],
        error_messages={"invalid_choice": _("Choose one of the spans in the list. Until then all are shown.")},
    )

    def __init__(
        self,
        asked: Any,
        *,
        sites: QuerySet[Site],
        crews: QuerySet[Crew],
        employers: QuerySet[Employer],
        across: bool,
        today: date,
    ) -> None:
        super().__init__({"on": today.isoformat(), **asked.dict()})
        self.today = today
        places: dict[str, QuerySet[Any]] = {"site": sites, "crew": crews}
        if across:
            # An industry has more crews than a list can hold, so those of one employer are offered.
            employer = _number(asked.get("employer", ""))
            for name, rows in places.items():
                places[name] = rows.filter(Q(employer=employer) | Q(pk=_number(asked.get(name, ""))))
            self.fields["employer"].offer(employers, "name")  # type: ignore[attr-defined]
        else:
            del self.fields["employer"]
        for name, rows in places.items():
            if across and not (asked.get("employer") or asked.get(name)):
                del self.fields[name]
            else:
                self.fields[name].offer(rows, *(("employer__name",) if across else ()), "name")  # type: ignore[attr-defined]
        self.schemes = tuple(scheme_rows())
        choices = [("", _("All")), *((slug, title) for _pk, slug, title, _retired in self.schemes)]
        self.fields["scheme"].choices = choices  # type: ignore[attr-defined]

    def narrowed(self) -> list[tuple[str, str]]:
        """Return what the list is narrowed to, a label and the choice each: the form itself is not printed."""
        found = []
        for name in self.fields.keys() - {"on"} - self.errors.keys():
            field, typed = self.fields[name], str(self.data.get(name, "")).strip()
            words = {str(one): str(words) for one, words in getattr(field.widget, "choices", ())} if typed else {}
            found += [(str(field.label), words.get(typed, typed))] if typed else []
        return sorted(found)

    def asked(self) -> Asked:
        """Return what the board is asked, as far as it could be read."""
        self.full_clean()
        if "on" in self.errors:
            # A calendar field drops what it cannot read; as plain text it stays to be put right.
            self.fields["on"].widget.input_type = "text"
        said = self.cleaned_data
        slug = said.get("scheme")
        return Asked(
            on=said.get("on") or self.today,
            today=self.today,
            name=said.get("name", ""),
            employer=said.get("employer"),
            site=said.get("site"),
            crew=said.get("crew"),
            scheme=Scheme.objects.get(slug=slug) if slug else None,
            standing=said.get("standing", ""),
            within=said.get("within"),
            schemes=self.schemes,
        )


def _number(typed: str) -> int | None:
    """Return a number chosen from a list, or None for anything else."""
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 12 else None


def board_form(asked: Any, viewer: Viewer) -> BoardForm:
    """Return the form of this viewer with what is asked: a day, and the crews and employers they may see."""
    return BoardForm(asked, **choices_of(viewer))


def choices_of(viewer: Viewer) -> dict[str, Any]:
    """Return what a form of this viewer has to choose from, and from which day."""
    return {
        "sites": sites_seen_by(viewer),
        "crews": crews_seen_by(viewer),
        "employers": employers_seen_by(viewer),
        "across": viewer.across,
        "today": viewer.on,
    }
