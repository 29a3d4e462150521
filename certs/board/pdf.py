"""The day sheet as A4 pages, one and more for each crew."""

from datetime import datetime

from django.db.models import QuerySet
from django.template.loader import render_to_string

from certs.board.queries import Asked
from certs.board.queries.sheets import day_sheet
from training.people.models import Person
from training.printing.pdf import REPORT, render_pdf


def day(people: QuerySet[Person], asked: Asked, *, at: datetime) -> bytes:
    """Return the day sheet of these people as it stands `at` a moment, which is printed on it. Raises TooMany."""
    html = render_to_string("certs/board/day.html", {"sheet": day_sheet(people, asked), "made": at})
    return render_pdf(html, {}, sheet=REPORT).content
