"""The signed file of a card to take along, and the public answers behind it."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_POST, require_safe

from certs.cards.queries import KeyUnavailable
from certs.credentials import access, operations, queries
from certs.credentials.rules import FRESH_MS, Purpose
from training.people.access import viewer_for

FRESH = FRESH_MS // 1000


@require_POST
def take_along(request: HttpRequest, number: str) -> HttpResponse:
    """Send the holder the signed file of their card."""
    viewer = viewer_for(request, at=timezone.now())
    card = access.own_card(viewer, number)
    try:
        response = _json(operations.take_along(card=card, by=viewer.person, at=viewer.at))
    except (operations.NotInForce, KeyUnavailable) as refusal:
        messages.error(request, str(refusal))
        return redirect("cards:card", number=card.number)
    response["Content-Disposition"] = f'attachment; filename="{card.number}.json"'
    return response


@login_not_required
@require_safe
@cache_control(public=True, max_age=FRESH)
def issuer(request: HttpRequest) -> HttpResponse:
    """Name the public keys."""
    return _json(queries.issuer_document())


@login_not_required
@require_safe
@cache_control(public=True, max_age=FRESH)
def status(request: HttpRequest, purpose: str, number: int) -> HttpResponse:
    """Send one of the status lists, signed."""
    if purpose not in set(Purpose):
        raise Http404
    try:
        found = operations.sign_list(purpose=Purpose(purpose), number=number, at=timezone.now())
    except KeyUnavailable:
        # Asked for by machines: the sentence about the key is for the administrator, who meets it when signing.
        sentence = _("The list cannot be signed at the moment. Ask again later, or ask the issuer.")
        response = HttpResponse(sentence, status=503, content_type="text/plain; charset=utf-8")
        response["Retry-After"] = FRESH
        return response
    if found is None:
        raise Http404
    return _json(found)


def _json(document: dict[str, Any]) -> JsonResponse:
    return JsonResponse(document, json_dumps_params={"indent": 2, "ensure_ascii": False})
