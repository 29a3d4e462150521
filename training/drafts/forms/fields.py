"""The fields of a draft's page, group by group. Labels name their row, so that each can be told from the next."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from training.content.typed import LONGEST
from training.drafts import queries
from training.drafts.queries import Computation
from training.drafts.rules import How

Choices = Sequence[tuple[str, Any]]


def _text(label: str, *, help_text: str = "", short: bool = False, **attrs: str) -> forms.CharField:
    classes = {"class": "short"} if short else {}
    return forms.CharField(
        label=label, help_text=help_text, required=False, widget=forms.TextInput(attrs={**classes, **attrs})
    )


def _number(label: str, **kwargs: Any) -> forms.CharField:
    return _text(label, short=True, inputmode="decimal", **kwargs)


def _area(label: str, *, rows: int, help_text: str = "") -> forms.CharField:
    widget = forms.Textarea(attrs={"rows": rows, "maxlength": LONGEST})
    return forms.CharField(label=label, help_text=help_text, required=False, widget=widget)


def _choice(label: str, choices: Choices, *, empty: str = "", help_text: str = "") -> forms.CharField:
    first = [("", empty)] if empty else []
    widget = forms.Select(choices=[*first, *choices])
    return forms.CharField(label=label, help_text=help_text, required=False, widget=widget)


def _ticks(label: str, choices: Choices, *, help_text: str = "") -> forms.MultipleChoiceField:
    widget = forms.CheckboxSelectMultiple
    return _Ticks(label=label, choices=choices, help_text=help_text, required=False, widget=widget)


class _Ticks(forms.MultipleChoiceField):
    """Boxes to tick; what is no longer among them is for the check to say."""

    def valid_value(self, value: str) -> bool:
        return True


def question(topics: Choices, *, fixed: bool) -> dict[str, forms.Field]:
    """Return the fields about the question itself; `fixed` holds the key of a new version."""
    key = _text(
        _("Key"),
        help_text=_("The question's lasting name: small letters, digits and hyphens, such as volts-in-two-leads."),
    )
    if fixed:
        key.widget.attrs["readonly"] = True
        key.help_text = _("A new version keeps the key.")
    levels = [("know", _("know")), ("apply", _("apply")), ("judge", _("judge"))]
    pools = [
        ("papers", _("on papers only")),
        ("practice", _("at hold points and in practice only")),
        ("both", _("on papers and in practice")),
    ]
    usual = _("Usual: with values drawn anew it serves papers and practice, else papers only.")
    safety = forms.BooleanField(label=_("Safety: it must be fully right to pass the paper"), required=False)
    return {
        "key": key,
        "topic": _choice(_("Topic"), topics, empty=_("Choose a topic")),
        "level": _choice(_("Level"), levels, empty=_("Choose a level")),
        "minutes": _number(_("Minutes it takes")),
        "safety": safety,
        "pool": _choice(_("Used"), pools, empty=_("as usual for its kind"), help_text=usual),
        "prompt": _area(_("Prompt"), rows=5, help_text=_("Put the names of the values where they are to be printed.")),
    }


def named(prefix: str, title: str) -> dict[str, forms.Field]:
    """Return the field that names an added row."""
    words = _("Small letters, digits and underscores. Leave the whole row empty to drop it.")
    return {f"{prefix}name": _text(_("Name (%(row)s)") % {"row": title}, help_text=words)}


def given(prefix: str, row: str, *, fitting: str = "") -> dict[str, forms.Field]:
    """Return the fields of one value; computations that give it are those `fitting` its unit, or all."""
    hows = [
        (How.GRID.value, _("drawn from a grid: from, to, step")),
        (How.CHOICE.value, _("one of a list")),
        (How.CONSTANT.value, _("always the same")),
        (How.COMPUTATION.value, _("worked out from other values")),
    ]
    several = _("A list with spaces between, such as 25 35 50; or the one value.")
    fields = {
        "how": _choice(_("How it comes about (%(row)s)") % {"row": row}, hows),
        "from": _number(_("From (%(row)s)") % {"row": row}),
        "to": _number(_("To (%(row)s)") % {"row": row}),
        "step": _number(_("Step (%(row)s)") % {"row": row}),
        "list": _text(_("List, or the one value (%(row)s)") % {"row": row}, help_text=several),
        "unit": _text(_("Unit (%(row)s)") % {"row": row}, short=True, help_text=_("Such as V, mohm or mm2.")),
        "symbol": _text(_("Symbol (%(row)s, optional)") % {"row": row}, short=True),
        "says": _text(_("What it is, for the sheet (%(row)s, optional)") % {"row": row}),
    } | _computed(row, fitting)
    return {prefix + end: field for end, field in fields.items()}


def _computed(row: str, fitting: str) -> dict[str, forms.Field]:
    named = _("Only where the names differ: input = value, with commas between, such as area = size.")
    return {
        "computation": _choice(
            _("Computation (%(row)s)") % {"row": row}, queries.computations(fitting=fitting), empty=_("None chosen")
        ),
        "inputs": _text(_("Its inputs (%(row)s, optional)") % {"row": row}, help_text=named),
        "decimals": _number(
            _("Decimals (%(row)s)") % {"row": row}, help_text=_("It is rounded as printed before it is used.")
        ),
    }


def show(prefix: str, row: str) -> dict[str, forms.Field]:
    """Return the fields of one value of the working."""
    fields = _computed(row, "") | {"unit": _text(_("Unit (%(row)s)") % {"row": row}, short=True)}
    return {prefix + end: field for end, field in fields.items()}


def answer(computation: Computation) -> dict[str, forms.Field]:
    """Return how the answer is asked for and marked, and the wrong answers to recognise."""
    asks = [("number", _("a number is typed")), ("options", _("options: the wrong answers beside the right one"))]
    rounds = [
        ("nearest", _("to the nearest")),
        ("up", _("up to a whole number")),
        ("down", _("down to a whole number")),
    ]
    wrong = [(slip.key, _slip(slip.says, slip.more)) for slip in computation.slips]
    share = _("0.02 is two per cent. Give one of the two tolerances, or both: the wider one counts.")
    none = _("Leave both empty for a number rounded up or down.")
    return {
        "answer-ask": _choice(_("Answered by"), asks),
        "answer-unit": _text(_("Unit of the answer"), short=True, help_text=_("Such as V, mohm or %.")),
        "answer-decimals": _number(_("Decimals of the answer")),
        "answer-round": _choice(_("Rounded"), rounds),
        "answer-relative": _number(_("Tolerance as a share of the answer"), help_text=share),
        "answer-absolute": _number(_("Tolerance in the unit of the answer"), help_text=none),
        "answer-reason": _text(_("Why this tolerance is fair")),
        "wrong": _ticks(_("Wrong answers to recognise (optional)"), wrong),
    }


def _slip(says: str, more: Sequence[str]) -> str:
    words = _("%(says)s Needs an added value named %(names)s.")
    return words % {"says": says, "names": ", ".join(more)} if more else says


def working(steps: Choices) -> dict[str, forms.Field]:
    """Return what stands below: working, source, steps to read again, enemies."""
    marks = _("Keys of questions, or marks such as set:leads that several questions carry, one a line.")
    return {
        "lines": _area(_("Working"), rows=5, help_text=_("One step a line.")),
        "source": _text(_("Source")),
        "steps": _ticks(_("Steps to read again after a miss (optional)"), steps),
        "enemies": _area(_("Never on one paper with (optional)"), rows=3, help_text=marks),
    }
