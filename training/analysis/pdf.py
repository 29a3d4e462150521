"""The reports on a paper and on a question as A4 pages."""

from datetime import datetime

from django.template.loader import render_to_string

from training.analysis import queries
from training.bank.models import QuestionVersion
from training.printing.pdf import REPORT, render_pdf
from training.quizzes.models import PaperIssue


def paper(issue: PaperIssue, *, at: datetime) -> bytes:
    """Return the report on a paper as it stands `at` a moment, which is printed on it."""
    page = queries.page(issue)
    html = render_to_string("training/analysis/print_paper.html", {"page": page, "made": at})
    picture = render_to_string("training/analysis/bars.svg", {"page": page, "printed": True})
    return render_pdf(html, {"asset:/marks.svg": _svg(picture)}, sheet=REPORT).content


def question(issue: PaperIssue, version: QuestionVersion, *, at: datetime) -> bytes:
    """Return the report on a version of a question as it stands `at` a moment, which is printed on it."""
    report = queries.report(issue, version)
    html = render_to_string("training/analysis/print_question.html", {"report": report, "made": at})
    held = {
        f"asset:/curve-{place}.svg": _svg(
            render_to_string("training/analysis/curve.svg", {"curve": curve, "printed": True})
        )
        for place, curve in enumerate(report.curves, start=1)
    }
    return render_pdf(html, held, sheet=REPORT).content


def _svg(text: str) -> tuple[str, bytes]:
    return "image/svg+xml", text.encode()
