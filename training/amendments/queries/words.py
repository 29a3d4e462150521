"""What the fields of an amendment are called, on its pages and in the list of its mistakes."""

from django.utils.translation import gettext as _


def label(field: str) -> str:
    """Return what a field is called, such as `why` or `figure-2-unit`; nothing for a mistake that has no field."""
    kind, _sep, rest = field.partition("-")
    if kind == "figure":
        place, _sep, name = rest.partition("-")
        return _("%(name)s (figure %(number)s)") % {"name": _figure()[name], "number": place}
    return _fields().get(field, "")


def _fields() -> dict[str, str]:
    return {
        "changed": _("What changed and why"),
        "title": _("Title"),
        "purpose": _("What it is for"),
        "tools": _("Kit needed"),
        "stops": _("What stops the job"),
        "field_limit": _("Limits of field repair"),
        "sources": _("Sources"),
        "demand": _("Asked of card holders"),
        "within_days": _("Within how many days"),
        "overdue": _("When it is not done in time"),
        "questions": _("Questions they answer"),
        "text": _("What to do"),
        "why": _("Why"),
        "caution": _("Caution"),
        "hold": _("Hold point"),
        "ask": _("Questions at the hold point"),
        "drawing": _("Drawing"),
    }


def _figure() -> dict[str, str]:
    return {
        "says": _("What it is"),
        "bound": _("Limit"),
        "value": _("Value"),
        "value_to": _("Up to"),
        "unit": _("Unit"),
        "source": _("Source"),
    }
