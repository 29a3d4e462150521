"""The page that works out one shot."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from training.trials import queries
from training.trials.forms import TrialForm


@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    """Work out the situation in the address, for everyone signed in; nothing is kept."""
    form = TrialForm(request.GET)
    page = queries.page(form.setting(), refused=form.errors)
    return render(request, "training/trials/bench.html", {"form": form, "page": page})
