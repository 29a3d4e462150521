"""A moment as every page, mail and print writes it, and whose clock it is by."""

from datetime import datetime

from django import template
from django.utils.formats import date_format, get_format

register = template.Library()


@register.filter(expects_localtime=True)
def moment(value: datetime | None) -> str:
    """Return an aware moment in the zone in force, which it names: `26 Nov 2026, 04:14 UTC`; nothing of none.

    The order is that of `DATETIME_FORMAT`, in every language; only the month is translated.
    """
    return date_format(value, f"{get_format('DATETIME_FORMAT', lang='en')} e") if value else ""
