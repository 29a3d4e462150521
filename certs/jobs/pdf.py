"""A job on one page: who goes, what they take along, and what to heed."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.template.loader import render_to_string

from certs.jobs.queries import Check, Figure
from training.printing.pdf import REPORT, render_pdf

# Rows of days to try on the one page, the most first; the site shows the rest.
ROWS = (12, 8, 4, 2, 1)


def sheet(
    found: Check,
    figures: tuple[Figure, ...],
    cautions: tuple[str, ...],
    assumed: Iterable[tuple[str, str, str]],
    *,
    at: datetime,
) -> bytes:
    """Return the sheet of a checked job as it stands `at` a moment, which is printed on it.

    `assumed` are words, value and source of each figure that went in.
    """
    context: dict[str, Any] = {"check": found, "figures": figures, "cautions": cautions, "made": at}
    # Figures of one origin stand together: the origins are longer than the figures.
    origins: dict[str, list[str]] = defaultdict(list)
    for words, value, origin in assumed:
        origins[origin].append(f"{words}: {value}")
    context["origins"] = {origin: "; ".join(figures) for origin, figures in origins.items()}
    for most in ROWS:
        days = {"spans": found.spans[:most], "left": max(0, len(found.spans) - most)}
        made = render_pdf(render_to_string("certs/jobs/sheet.html", context | days), {}, sheet=REPORT)
        if made.pages == 1:
            break
    return made.content
