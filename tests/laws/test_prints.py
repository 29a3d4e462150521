"""Every print the site sends, as two partial checkers find its tags (tests/accessible.py names the conditions)."""

import pytest
from django.urls import get_resolver, reverse

from tests.accessible import reading_faults, structure_faults
from tests.laws.test_permissions import ACTORS, TABLE, entered, url_names, world

# Cards printed together wait until they are made: tests/outside/test_tagged_prints.py has them in every layout.
PRINTS = sorted({*url_names(get_resolver().url_patterns, ending=".pdf")} - {"batches:pdf"})
SENDERS = ("nadia", "iver", "piet", "moira")


@pytest.mark.django_db
@pytest.mark.parametrize("name", PRINTS)
def test_is_tagged(name: str) -> None:
    """As it is sent to the first who may have it."""
    company, (asked, got, _posted) = world(), TABLE[name]
    codes = dict(zip(ACTORS, got.split(), strict=True))
    actor = next(one for one in SENDERS if codes[one] == "200")
    answer = entered(company, actor)().get(reverse(name, kwargs=asked(company)))
    assert answer["Content-Type"] == "application/pdf"
    assert structure_faults(answer.content) + reading_faults(answer.content) == []
