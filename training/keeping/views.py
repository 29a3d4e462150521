"""How the site does: for machines that ask, and for whoever looks after it."""

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from training.keeping import access, operations, queries, rules
from training.keeping.forms import HeadForm
from training.ledger import queries as ledger
from training.people.access import viewer_for


@login_not_required
@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """Answer 200 while rows can be kept, else 503; names what is wrong, and nothing about anyone."""
    at = timezone.now()
    found = queries.health(wrote=operations.probe(at=at), at=at)
    good = rules.serves(found)
    answer = {"serves": good, **{part.name: "good" if part.good else "look" for part in found}}
    return JsonResponse(answer, status=200 if good else 503, headers={"Cache-Control": "no-store"})


@login_not_required
@require_safe
def promises(request: HttpRequest) -> HttpResponse:
    """Say what is protected, from what, by what, how that is tried, and what is not."""
    context = {"promises": queries.PROMISES, "limits": queries.LIMITS, "deviations": queries.DEVIATIONS}
    return render(request, "training/keeping/promises.html", context)


@require_http_methods(["GET", "POST"])
def index(request: HttpRequest) -> HttpResponse:
    """Show how the database is kept; on POST, prove the ledger whole, against a head that was mailed or printed."""
    at = timezone.now()
    access.keeper(viewer_for(request, at=at))
    form = HeadForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        if fault := ledger.fault(form.cleaned_data["head"]):
            messages.error(
                request, _("%(fault)s Stop issuing cards and compare with the last copy.") % {"fault": fault}
            )
        else:
            messages.success(request, _("The ledger is whole."))
    context = {"form": form, "keeping": queries.keeping(wrote=operations.probe(at=at), at=at)}
    return render(request, "training/keeping/index.html", context)
