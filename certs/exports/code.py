"""Bytes of the calendar feed: iCalendar (RFC 5545). No clock, no database."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from icalendar import Calendar
from icalendar import Event as Entry

from certs.exports.rules import Event


def calendar(name: str, events: Iterable[Event], *, at: datetime) -> bytes:
    """Return a calendar of whole days, without alarms: whoever reads it sets their own."""
    made = Calendar()
    made.add("prodid", "-//Ferrule//Days of cards//EN")
    made.add("version", "2.0")
    made.add("name", name)
    made.add("refresh-interval", timedelta(hours=12), parameters={"VALUE": "DURATION"})
    for event in events:
        entry = Entry()
        entry.add("uid", event.uid)
        entry.add("dtstamp", at)
        entry.add("dtstart", event.day)
        entry.add("dtend", event.day + timedelta(days=1))
        entry.add("summary", event.title)
        entry.add("description", event.text)
        entry.add("url", event.url)
        entry.add("transp", "TRANSPARENT")
        made.add_component(entry)
    return bytes(made.to_ical())
