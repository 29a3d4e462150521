"""What the database refuses, and the sentence it refuses with."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.cast import AT, Cast
from training.amendments.models import Amendment
from training.procedures.models import Revision

DECIDED = {"proposed_at": AT, "decided_at": AT, "what_changed": "Why."}


def amendment(cast: Cast, **facts: object) -> Amendment:
    base = Revision.objects.select_related("module").get(number=1)
    return Amendment(module=base.module, base=base, author=cast.tess, body={"steps": []}, opened_at=AT, **facts)


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({**DECIDED, "granted": False, "reason": "No.", "by": "tess"}, "Ask a second person"),
        ({**DECIDED, "granted": False, "by": "olga"}, "Say why the amendment is refused"),
        ({"proposed_at": AT}, "Say what changed and why"),
        ({"decided_at": AT, "granted": False, "reason": "No.", "by": "olga"}, "is about something proposed"),
        ({**DECIDED, "granted": False, "reason": "No."}, "says by whom and when"),
        ({**DECIDED, "reason": "No.", "by": "olga"}, "says by whom and when"),
        ({**DECIDED, "granted": True, "by": "olga"}, "An approved amendment becomes a revision"),
        ({**DECIDED, "granted": False, "reason": "No.", "by": "olga", "revision": True}, "and no other does"),
        ({"revision": True}, "and no other does"),
    ],
)
def test_is_refused(site: Cast, facts: dict[str, object], words: str) -> None:
    """By the form's check with a sentence, and by the database itself."""
    facts = dict(facts)
    if "by" in facts:
        facts["decided_by"] = getattr(site, str(facts.pop("by")))
    if facts.pop("revision", False):
        facts["revision"] = Revision.objects.get(number=1)
    made = amendment(site, **facts)
    with pytest.raises(ValidationError, match=words):
        made.validate_constraints()
    with pytest.raises(IntegrityError), transaction.atomic():
        made.save()


def test_one_open_for_a_module(site: Cast) -> None:
    """A decided one is not in the way."""
    refused = {**DECIDED, "granted": False, "reason": "No.", "decided_by": site.olga}
    amendment(site, **refused).save()
    held = amendment(site)
    held.validate_constraints()
    held.save()
    assert str(held) == f"{held.module_id} amended from {held.base_id}"
    with pytest.raises(ValidationError, match="is being amended already"):
        amendment(site).validate_constraints()
    with pytest.raises(IntegrityError), transaction.atomic():
        amendment(site).save()


def test_what_is_sound_is_kept(site: Cast) -> None:
    """Approved by a second person, and the revision it became."""
    facts = {**DECIDED, "granted": True, "decided_by": site.olga, "revision": Revision.objects.get(number=1)}
    made = amendment(site, **facts)
    made.validate_constraints()
    made.save()
