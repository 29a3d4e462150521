"""Without a signal: the pages that a phone keeps, the worker that keeps them, and what makes a phone install them.

They are the same bytes for everyone. They are made without the request, so that no name can get in.
"""

import json
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

# The page for what cannot be reached, the one that says what is not sent yet, and the check of a card.
PAGES = {"offline": "offline.html", "waiting": "waiting.html", "check_kept": "certs/checking/check.html"}
# What the kept pages need to look and work as they do with a signal.
FILES = (
    "training/vendor/bootstrap/bootstrap.min.css",
    "training/ferrule.css",
    "training/app.js",
    "training/reading.js",
    "certs/store.js",
    "certs/queue.js",
    "certs/forms.js",
    "certs/held.js",
    "certs/pictures.js",
    "certs/waiting.js",
    "certs/sheet.css",
    "certs/sheet.js",
    "certs/sheet_figures.js",
    "certs/check.js",
    "certs/signed.js",
    "certs/verdict.js",
    "certs/camera.js",
    "training/vendor/ed25519/ed25519.js",
    "training/vendor/qr/qr.js",
    "training/mark.svg",
    "training/icon-180.png",
    "training/fonts/open-sans-regular-latin.woff2",
    "training/fonts/open-sans-bold-latin.woff2",
    "training/fonts/open-sans-condensed-bold-latin.woff2",
)


@login_not_required
@require_safe
def shell(request: HttpRequest) -> HttpResponse:
    """Show what is kept on this phone; the browser fills it in."""
    return HttpResponse(_page("offline"), headers={"Cache-Control": "no-cache"})


@login_not_required
@require_safe
def waiting(request: HttpRequest) -> HttpResponse:
    """Show what waits on this phone; the browser fills it in. What is kept is how it looks to nobody in particular."""
    if request.user.is_authenticated:
        return render(request, PAGES["waiting"])
    return HttpResponse(_page("waiting"), headers={"Cache-Control": "no-cache"})


@login_not_required
@require_safe
def check(request: HttpRequest) -> HttpResponse:
    """Show the check of a card as a phone keeps it: without the forms, which need the site and hold a token."""
    headers = {"Cache-Control": "no-cache", "Permissions-Policy": "camera=(self), geolocation=(), microphone=()"}
    return HttpResponse(_page("check_kept"), headers=headers)


@never_cache
@require_safe
def who(request: HttpRequest) -> JsonResponse:
    """Say whose session this is, by number, with the token a phone needs to send what it kept without a page."""
    return JsonResponse({"person": request.user.pk, "token": get_token(request)})


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """Send the service worker, headed by what it keeps; another digest makes browsers fetch that again."""
    kept = {
        "page": reverse("offline"),
        "pages": [reverse(name) for name in PAGES],
        # The address printed in the code of a card has no slash at its end.
        "instead": {reverse("checking:check").rstrip("/") + end: reverse("check_kept") for end in ("", "/")},
        "files": [static(name) for name in FILES],
        "digest": _digest(),
    }
    script = _source("training/sw.js").read_text(encoding="utf-8")
    headers = {"Cache-Control": "no-cache", "Service-Worker-Allowed": "/"}
    text = f"const shell = {json.dumps(kept)};\n{script}"
    return HttpResponse(text, content_type="text/javascript; charset=utf-8", headers=headers)


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """Say what a phone needs to put the site on its home screen."""
    icons: list[dict[str, Any]] = [
        {"src": static(f"training/icon-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png", "purpose": "any"}
        for size in (192, 512)
    ]
    icons.append({**icons[-1], "src": static("training/icon-512-maskable.png"), "purpose": "maskable"})
    about = {
        "id": "/",
        "name": _("Ferrule"),
        "short_name": _("Ferrule"),
        "description": _("Training and competency cards for crews that fix bonds and leads by pin brazing"),
        "lang": settings.LANGUAGE_CODE,
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#873800",
        "icons": icons,
    }
    return JsonResponse(about, content_type="application/manifest+json", headers={"Cache-Control": "no-cache"})


def _page(name: str) -> str:
    return render_to_string(PAGES[name])


def _source(name: str) -> Path:
    return Path(str(finders.find(name)))


def _digest() -> str:
    content = [*(_page(name).encode() for name in PAGES), *(_source(name).read_bytes() for name in FILES)]
    return sha256(b"".join(sha256(one).digest() for one in content)).hexdigest()[:16]
