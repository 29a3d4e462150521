"""What every form needs: the token, the methods, an account that is open; and that there is one policy of content.

Source: OWASP Application Security Verification Standard 5.0.0, 3.5.1 to 3.5.3 (forms and methods). The headers of every
answer are judged where it is asked for: tests/laws/test_permissions.py.
"""

from http import HTTPStatus

import pytest
from csp.utils import build_policy
from django.conf import settings
from django.test import Client
from django.urls import reverse

from tests.laws.test_permissions import TABLE, answer, world
from training.people.models import Person

# What is answered without looking at cookies has nothing another site could borrow.
NO_SESSION = {"gates:standing"}
# The secret in its address is what opens it; of a closed account it opens nothing.
BY_SECRET = {"exports:feed"}


class TestEveryAnswer:
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
            status = answer(client, "get", reverse(name, kwargs=asked(company))).status_code
            if status != (404 if name in BY_SECRET else int(expected[0].split()[0])):
                wrong.append(f"{name}: {status}")
            Person.objects.filter(pk=company.people["moira"].pk).update(is_active=True)
        assert wrong == []
