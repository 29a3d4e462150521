"""Reading without a signal: the page that a phone keeps, and the worker that keeps it.

Both are the same bytes for everyone. They are made without the request, so that no name can get in.
"""

import json
from hashlib import sha256

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.http import require_safe

STATIC = settings.BASE_DIR / "training" / "static"
# What the kept page needs to look and work as it does with a signal.
FILES = (
    "training/vendor/bootstrap/bootstrap.min.css",
    "training/ferrule.css",
    "training/app.js",
    "training/reading.js",
    "training/mark.svg",
    "training/fonts/open-sans-regular-latin.woff2",
    "training/fonts/open-sans-bold-latin.woff2",
    "training/fonts/open-sans-condensed-bold-latin.woff2",
)


@login_not_required
@require_safe
def shell(request: HttpRequest) -> HttpResponse:
    """Show what is kept on this phone; the browser fills it in."""
    return HttpResponse(_page(), headers={"Cache-Control": "no-cache"})


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """Send the service worker, headed by what it keeps; another digest makes browsers fetch that again."""
    kept = {"page": reverse("offline"), "files": [static(name) for name in FILES], "digest": _digest()}
    script = (STATIC / "training" / "sw.js").read_text(encoding="utf-8")
    headers = {"Cache-Control": "no-cache", "Service-Worker-Allowed": "/"}
    return HttpResponse(f"const shell = {json.dumps(kept)};\n{script}", content_type="text/javascript", headers=headers)


def _page() -> str:
    return render_to_string("offline.html")


def _digest() -> str:
    content = [_page().encode(), *((STATIC / name).read_bytes() for name in FILES)]
    return sha256(b"".join(sha256(one).digest() for one in content)).hexdigest()[:16]
