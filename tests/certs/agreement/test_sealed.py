"""Who may be the second assessor of a practical finds the first one's marks nowhere, until the second are given."""

from datetime import timedelta
from uuid import UUID

import pytest
import time_machine
from django.urls import reverse

from certs.agreement import operations, queries, rules
from certs.agreement.rules import How
from certs.photos.models import Photo
from certs.schemes.models import SchemeIssue
from certs.schemes.rules import Act
from certs.signoffs.models import Decision, ReceivedSheet, Signoff
from certs.signoffs.operations import sign_off
from tests.cast import AT, ON, Cast
from tests.certs.signoffs.making import Ground, lay, sheet, sheet_url
from tests.training.reply import page
from training.people.models import Person

# What only the first assessor's sheet says: a remark, a step, the outcome of both.
MARKS = ("Neat work", "Takes the stance", "not seen done right", "Passed.")
SEEN = frozenset({"pack", "earth", "kit"})


@pytest.fixture
def ground(cast: Cast) -> Ground:
    with time_machine.travel(AT, tick=False):
        made = lay(cast)
        made.ready(cast.ben)
        yield made


def signed(ground: Ground, scheme: SchemeIssue, candidate: Person | None = None) -> Signoff:
    """Sign a practical as Olga: Ben's, whom nobody trained, unless another is named."""
    written = sheet(seen=SEEN, remarks="Neat work")
    who = candidate or ground.cast.ben
    return sign_off(candidate=who, scheme_issue=scheme, assessor=ground.cast.olga, sheet=written, at=AT, on=ON)


def mark(practical: Signoff, by: Person) -> None:
    facts = {"how": How.RECORD, "marks": {one["slug"]: True for one in practical.checks}, "remarks": ""}
    operations.mark_again(signoff=practical, by=by, at=AT, on=ON, **facts)


def record(cast: Cast, who: str, practical: Signoff) -> str:
    return page(cast.client(who).get(reverse("signoffs:signoff", args=[practical.pk])))


def test_the_record_opens_with_the_second_marking(ground: Ground, cast: Cast) -> None:
    """Before it: where and when, and the way to mark it."""
    practical = signed(ground, ground.straight)
    body = record(cast, "tess", practical)
    assert "waits for a second assessor, and that may be you" in body
    assert "Yard 3" in body
    assert reverse("agreement:mark", args=[practical.pk]) in body
    assert "Correct this record" not in body
    assert not [one for one in MARKS if one in body]
    mark(practical, cast.tess)
    body = record(cast, "tess", practical)
    assert not [one for one in MARKS if one not in body]
    assert "Correct this record" in body


def test_others_read_it_as_ever(ground: Ground, cast: Cast) -> None:
    """The first assessor, the candidate, who administers, who supervises, and Tess, who trained Ada."""
    practical = signed(ground, ground.straight, cast.ada)
    for name in ("olga", "ada", "max", "sol", "tess"):
        assert "Neat work" in record(cast, name, practical)


@pytest.mark.parametrize(("on_paper", "photo"), [(False, 200), (True, 403)])
def test_no_other_way_leads_to_the_marks(ground: Ground, cast: Cast, on_paper: bool, photo: int) -> None:
    """The sheet, its print, a correction laid out from it, the scan of one on paper; photos of bonds are shown."""
    practical = signed(ground, ground.straight)
    facts = {"candidate": cast.ben, "scheme_issue": ground.straight, "assessor": cast.olga, "made_by": cast.olga}
    facts |= {"body": {}, "reading": {}, "digest": "0" * 64, "phone_time": AT, "received_at": AT, "assessed_on": ON}
    sent = ReceivedSheet.objects.create(id=UUID(int=5), on_paper=on_paper, **facts)
    Signoff.objects.filter(pk=practical.pk).update(sheet=sent)
    facts = {"id": UUID(int=6), "record": sent.pk, "kind": "sheet", "made_by": cast.olga, "kept_at": AT}
    Photo.objects.create(**facts, digest="0" * 64, jpeg=b"")
    client = cast.client("tess")
    for address in (
        reverse("signoffs:filled", args=[sent.pk]),
        reverse("signoffs:paper", args=[sent.pk]),
        sheet_url(cast.ben, query=f"?replaces={practical.pk}"),
    ):
        refused = client.get(address)
        assert refused.status_code == 403
        assert "Mark it under Double marking" in refused.text
    assert client.get(reverse("signoffs:photo", args=[sent.pk, UUID(int=6)])).status_code == photo


def test_a_correction_is_sealed_with_what_it_corrects(ground: Ground, cast: Cast) -> None:
    """It holds the same marks; not so once nobody could mark the practical as it was seen."""
    practical = signed(ground, ground.straight)
    written = sheet(seen=SEEN, remarks="Neat work", replaces=practical.pk)
    facts = {"scheme_issue": ground.straight, "assessor": cast.olga, "sheet": written, "at": AT, "on": ON}
    later = sign_off(candidate=cast.ben, **facts)
    assert "Neat work" not in record(cast, "tess", later)
    assert queries.is_sealed(later, cast.tess, on=ON + timedelta(days=rules.WAITS_DAYS - 1))
    assert not queries.is_sealed(later, cast.tess, on=ON + timedelta(days=rules.WAITS_DAYS))


def test_who_decides_reads_the_marks_and_gives_none(ground: Ground, cast: Cast) -> None:
    """While the decision waits, and for good for the one who made it."""
    ground.allow(cast.dora, Act.ASSESSES)
    practical = signed(ground, ground.separate)
    assert "Neat work" not in record(cast, "tess", practical)
    assert "Neat work" in record(cast, "dora", practical)
    with pytest.raises(operations.MayNotMark, match="to decide about this card"):
        mark(practical, cast.dora)
    Decision.objects.create(signoff=practical, by=cast.dora, granted=True, reasons="In order", at=AT)
    assert "Neat work" in record(cast, "dora", practical)
    assert "Neat work" not in record(cast, "tess", practical)
