"""What every answer carries and every form needs: the headers, the token, the methods, an account that is open.

Sources: OWASP Application Security Verification Standard 5.0.0, 3.4.1 to 3.4.6 (headers), 3.5.1 to 3.5.3 (forms and
methods), 14.3.2 (caches); Content Security Policy Level 3.
"""

from http import HTTPStatus

import pytest
from csp.utils import build_policy
from django.conf import settings
from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from tests.laws.test_permissions import TABLE, answer, entered, world
from training.people.models import Person

NEITHER = {"'unsafe-inline'", "'unsafe-eval'", "*", "http:", "https:"}

# What is answered without looking at cookies has nothing another site could borrow.
NO_SESSION = {"gates:standing"}
# The secret in its address is what opens it; of a closed account it opens nothing.
BY_SECRET = {"exports:feed"}


def faults(response: HttpResponse, *, signed_in: bool) -> list[str]:
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


@pytest.mark.django_db
@pytest.mark.usefixtures("unprinted")
class TestEveryAnswer:
    @pytest.mark.parametrize("actor", ["nobody", "nadia", "moira"])
    def test_carries_the_headers(self, actor: str) -> None:
        company = world()
        browser = entered(company, actor)
        wrong = {}
        for name, (asked, *_codes) in TABLE.items():
            with transaction.atomic():
                response = browser().get(reverse(name, kwargs=asked(company)))
                if response.streaming:
                    list(response.streaming_content)  # to its end, where its file is closed
                transaction.set_rollback(True)
            if found := faults(response, signed_in=actor != "nobody"):
                wrong[name] = found
        assert wrong == {}

    def test_is_of_the_one_policy(self) -> None:
        """What is sent is what stands in the settings, and a page may not widen it."""
        assert "script-src 'self'" in build_policy(settings.CONTENT_SECURITY_POLICY["DIRECTIVES"])


@pytest.mark.django_db
class TestEveryForm:
    def test_is_refused_without_its_token(self) -> None:
        """Another site can send a browser's cookies along, but cannot know the token."""
        company = world()
        taken = []
        for name, (asked, *_codes) in TABLE.items():
            client = Client(enforce_csrf_checks=True)
            client.force_login(company.people["nadia"])
            if name in NO_SESSION:
                continue
            if client.post(reverse(name, kwargs=asked(company))).status_code != HTTPStatus.FORBIDDEN:
                taken.append(name)
        assert taken == []

    @pytest.mark.parametrize("method", ["put", "patch", "delete", "trace"])
    def test_takes_no_other_method(self, method: str) -> None:
        company = world()
        client = Client()
        client.force_login(company.people["nadia"])
        said = {
            name: getattr(client, method)(reverse(name, kwargs=asked(company))).status_code
            for name, (asked, *_codes) in TABLE.items()
        }
        refusals = {HTTPStatus.FOUND, HTTPStatus.FORBIDDEN, HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED}
        assert {name: status for name, status in said.items() if status not in refusals} == {}


@pytest.mark.django_db
class TestClosedAccount:
    def test_gets_what_a_stranger_gets(self) -> None:
        """Its old session included: closing an account ends what it had open."""
        company = world()
        wrong = []
        for name, (asked, *expected) in TABLE.items():
            client = Client()
            client.force_login(company.people["moira"])
            Person.objects.filter(pk=company.people["moira"].pk).update(is_active=False)
            status, _text = answer(client, "get", reverse(name, kwargs=asked(company)))
            if status != (404 if name in BY_SECRET else int(expected[0].split()[0])):
                wrong.append(f"{name}: {status}")
            Person.objects.filter(pk=company.people["moira"].pk).update(is_active=True)
        assert wrong == []
