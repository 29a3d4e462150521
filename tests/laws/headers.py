"""The headers every answer carries; tests/laws/test_permissions.py asks it of each answer it gets.

Sources: OWASP Application Security Verification Standard 5.0.0, 3.4.1 to 3.4.6 and 14.3.2 (caches); Content Security
Policy Level 3.
"""

from django.http import HttpResponse

NEITHER = {"'unsafe-inline'", "'unsafe-eval'", "*", "http:", "https:"}


def lacking(response: HttpResponse, *, signed_in: bool) -> list[str]:
    """Return what an answer lacks."""
    policy = {words[0]: set(words[1:]) for words in map(str.split, response["Content-Security-Policy"].split(";"))}
    is_page = response["Content-Type"].startswith("text/html")
    wanted = {
        "X-Content-Type-Options": "nosniff",
        "X-Frame-Options": "DENY",
        "Referrer-Policy": "same-origin",
        "Cross-Origin-Opener-Policy": "same-origin",
    }
    found = [name for name, value in wanted.items() if response.get(name) != value]
    found += ["default-src"] if policy["default-src"] != {"'none'"} else []
    found += [name for name, sources in policy.items() if sources & NEITHER]
    # A picture has a policy of its own, in which nothing runs at all.
    found += [name for name in ("frame-ancestors", "base-uri") if is_page and policy.get(name) != {"'none'"}]
    strict = ({"'self'"}, {"'none'"})
    found += [name for name in ("script-src", "style-src") if policy.get(name, {"'none'"}) not in strict]
    found += ["form-action"] if is_page and policy.get("form-action") not in strict else []
    if "camera" not in response.get("Permissions-Policy", ""):
        found.append("Permissions-Policy")
    kept = response.get("Cache-Control", "")
    if signed_in and not ("no-store" in kept or "private" in kept or "public" in kept or "no-cache" in kept):
        found.append("Cache-Control")
    if response["Content-Type"].startswith("text/") and "charset" not in response["Content-Type"]:
        found.append("charset")
    return found
