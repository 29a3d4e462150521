"""The list of refreshers, and the page of one topic's drill."""

import secrets

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from training.bank.forms import typed
from training.bank.operations import AskAgain
from training.people.access import Viewer, viewer_for
from training.refreshers import access, operations, queries
from training.refreshers.forms import HELPED, DrillForm, MailForm
from training.refreshers.queries import Sheet, Topic

DRILL = "drill"


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest) -> HttpResponse:
    """Show what is due and what comes next; a POST keeps the choice about mail."""
    viewer = viewer_for(request, at=timezone.now())
    if request.method != "POST":
        page = queries.page(viewer.person, on=viewer.on)
        form = MailForm(initial={"wanted": page.mail_wanted})
        return render(request, "training/refreshers/index.html", {"page": page, "mail_form": form})
    wanted = "wanted" in request.POST
    try:
        operations.choose_mail(person=viewer.person, wanted=wanted, at=viewer.at)
    except operations.NoAddress as error:
        messages.error(request, str(error))
    else:
        messages.success(
            request,
            _("A mail will come when a refresher is due.") if wanted else _("No mail about refreshers will come."),
        )
    return redirect("refreshers:index")


@require_http_methods(["GET", "HEAD", "POST"])
def drill(request: HttpRequest, topic: str) -> HttpResponse:
    """Show a topic's drill; a POST opens the questions of today, then answers them."""
    viewer, subject = viewer_for(request, at=timezone.now()), access.topic_for(topic)
    if request.method != "POST":
        sheet = queries.sheet(viewer.person, subject, on=viewer.on)
        return _shown(request, sheet, DrillForm(sheet, {}))
    if DRILL in request.POST:
        return _answered(request, viewer, subject)
    facts = {"topic": subject.slug, "language": get_language() or "en", "seed": secrets.token_hex(16)}
    try:
        operations.open_drill(person=viewer.person, on=viewer.on, at=viewer.at, **facts)
    except operations.NothingToAsk:
        messages.warning(request, _("There are no questions for practice on this topic yet."))
    return redirect("refreshers:drill", subject.slug)


def _answered(request: HttpRequest, viewer: Viewer, topic: Topic) -> HttpResponse:
    asked = access.drill_for(viewer.person, topic, request.POST[DRILL])
    sheet = queries.opened(asked, topic, on=viewer.on)
    answers, helped = typed(sheet, request.POST), HELPED in request.POST
    try:
        operations.answer(drill=asked, answers=answers, helped=helped, at=viewer.at)
    except AskAgain as error:
        form = DrillForm(sheet, answers, helped=helped)
        form.ask_again(error.problems)
        return _shown(request, sheet, form)
    except operations.Answered:
        messages.warning(request, _("Those questions were answered already. This is where you are now."))
    return redirect("refreshers:drill", topic.slug)


def _shown(request: HttpRequest, sheet: Sheet, form: DrillForm) -> HttpResponse:
    return render(request, "training/refreshers/drill.html", {"sheet": sheet, "form": form})
