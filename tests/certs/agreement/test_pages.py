"""A second assessor marks a practical blind, and the page says how far two agree."""

from datetime import date
from uuid import UUID

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from certs.agreement import operations, queries, rules
from certs.agreement.models import SecondMarking
from certs.agreement.rules import How
from certs.photos.models import Photo
from certs.schemes.models import Authority, TrainingAct
from certs.schemes.rules import Act
from certs.signoffs.models import ReceivedSheet, Signoff
from tests.cast import AT, ON, START, Cast
from tests.certs.factory import scheme_issue, signoff
from tests.training.reply import page
from training.ledger.models import Entry, NotEdited
from training.people.models import Person

CHECKS = [
    {"slug": "clean", "step": "setup.clean", "text": "Bright steel", "critical": True, "weight": 1, "seen": True},
    {
        "slug": "earth",
        "step": "setup.earth",
        "text": "Earth clamp tight",
        "critical": False,
        "weight": 2,
        "seen": False,
    },
]
ALL = {"step-clean": "yes", "step-earth": "unknown", "how": "rail", "blind": "on"}


@pytest.fixture
def signed(cast: Cast):
    """Ada's practical, signed by Olga; Tess may assess under its scheme."""
    with time_machine.travel(AT, tick=False):
        issue = scheme_issue()
        facts = {"scheme": issue.scheme, "from_on": START, "granted_by": cast.max, "granted_at": AT}
        for person in (cast.tess, cast.olga):
            Authority.objects.create(person=person, act=Act.ASSESSES, **facts)
        yield signoff(cast.ada, issue, assessor=cast.olga, on=date(2026, 11, 2), checks=CHECKS, remarks="Neat work")


def mark(signed: Signoff, by, **changed):
    facts = {"how": How.RECORD, "marks": {"clean": True, "earth": None}, "remarks": ""} | changed
    return operations.mark_again(signoff=signed, by=by, at=AT, on=ON, **facts)


class TestBlind:
    def test_shows_no_mark_of_the_first_assessor(self, cast: Cast, signed: Signoff) -> None:
        """Texts of the steps, no mark, no remark, no outcome."""
        body = page(cast.client("tess").get(reverse("agreement:mark", args=[signed.pk])))
        assert "Bright steel" in body
        assert "Neat work" not in body
        assert "checked" not in body.partition("<main")[2]
        assert "Olga" not in body

    @pytest.mark.parametrize(("on_paper", "shown"), [(False, True), (True, False)])
    def test_shows_photos_of_bonds_and_no_scan_of_a_sheet(self, cast: Cast, signed: Signoff, on_paper, shown) -> None:
        """A sheet filled in on paper is photographed with the first assessor's marks on it."""
        sheet = ReceivedSheet.objects.create(
            id=UUID(int=5),
            candidate=cast.ada,
            scheme_issue=signed.scheme_issue,
            assessor=cast.olga,
            made_by=cast.olga,
            on_paper=on_paper,
            assessed_on=signed.assessed_on,
            body={},
            reading={},
            digest="0" * 64,
            phone_time=AT,
            received_at=AT,
        )
        Signoff.objects.filter(pk=signed.pk).update(sheet=sheet, signed_at=AT)
        facts = {"id": UUID(int=6), "record": sheet.pk, "kind": "sheet", "made_by": cast.olga, "kept_at": AT}
        Photo.objects.create(**facts, digest="0" * 64, jpeg=b"")
        body = page(cast.client("tess").get(reverse("agreement:mark", args=[signed.pk])))
        assert ("Photo 1 of this practical" in body) is shown

    def test_tells_who_may_not(self, cast: Cast, signed: Signoff) -> None:
        """The first assessor, who lacks the permission, who trained: no form for them."""
        TrainingAct.objects.create(
            scheme=signed.scheme_issue.scheme, trainer=cast.tess, candidate=cast.ada, ended_on=ON, recorded_at=AT
        )
        for name, says in (("olga", "as its assessor"), ("max", "may assess"), ("tess", "You trained")):
            body = page(cast.client(name).get(reverse("agreement:mark", args=[signed.pk])))
            assert says in body
            assert "Keep my marks" not in body
            with pytest.raises(operations.MayNotMark, match=says):
                mark(signed, getattr(cast, name))


class TestMark:
    def test_is_kept_with_its_entry_and_changes_no_result(self, cast: Cast, signed: Signoff) -> None:
        """A step that cannot be told stays empty."""
        before = Signoff.objects.values().get()
        sent = cast.client("tess").post(reverse("agreement:mark", args=[signed.pk]), ALL)
        assert sent.url == reverse("agreement:index")
        made = SecondMarking.objects.get()
        assert (made.marks, made.how, made.first) == ({"clean": True, "earth": None}, How.RAIL, cast.olga)
        assert Signoff.objects.values().get() == before
        assert Entry.objects.last().act == "practical marked again"
        assert mark(signed, cast.tess) == made

    @pytest.mark.parametrize(
        ("left_out", "says"),
        [
            ("step-clean", "Mark this step."),
            ("how", "from the record or at the rail"),
            ("blind", "leave this practical"),
        ],
    )
    def test_says_what_is_missing(self, cast: Cast, signed: Signoff, left_out: str, says: str) -> None:
        """Nothing is kept of half a sheet."""
        data = {name: value for name, value in ALL.items() if name != left_out}
        assert says in page(cast.client("tess").post(reverse("agreement:mark", args=[signed.pk]), data))
        assert not SecondMarking.objects.exists()

    def test_is_once_and_never_edited(self, cast: Cast, signed: Signoff) -> None:
        """A third assessor comes too late; the database refuses the first."""
        made = mark(signed, cast.tess)
        facts = {"person": cast.dora, "scheme": signed.scheme_issue.scheme, "act": Act.ASSESSES, "from_on": START}
        Authority.objects.create(granted_by=cast.max, granted_at=AT, **facts)
        body = page(cast.client("dora").post(reverse("agreement:mark", args=[signed.pk]), ALL))
        assert "has marked it already" in body
        for act in (made.save, made.delete):
            with pytest.raises(NotEdited):
                act()
        copied = {"signoff": signed, "candidate": cast.ada, "first": cast.olga, "marks": {}, "marked_at": AT}
        for changed, says in (
            ({"assessor": cast.olga, "how": "rail"}, "did not sign"),
            ({"assessor": cast.dora, "how": "guess"}, "at the rail"),
        ):
            row = SecondMarking(**copied, **changed)
            with pytest.raises(ValidationError, match=says):
                row.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            SecondMarking(**copied, assessor=cast.dora, how="rail").save()

    def test_is_for_the_practicals_that_were_drawn(self, cast: Cast, signed: Signoff, monkeypatch) -> None:
        """Nobody picks another; the page of one that was not drawn is not there."""
        monkeypatch.setattr(rules, "sample", lambda year: frozenset())
        with pytest.raises(operations.MayNotMark, match="not among those"):
            mark(signed, cast.tess)
        assert cast.client("tess").get(reverse("agreement:mark", args=[signed.pk])).status_code == 404


class TestIndex:
    def test_lists_what_waits_and_for_whom_not(self, cast: Cast, signed: Signoff) -> None:
        """Fewer than twenty a year: every one is marked twice; a correction is not drawn anew."""
        signoff(cast.ada, signed.scheme_issue, assessor=cast.olga, on=date(2026, 11, 3), replaces=signed)
        assert "Mark the practical of Ada Crew" in page(cast.client("tess").get(reverse("agreement:index")))
        body = page(cast.client("olga").get(reverse("agreement:index")))
        assert "Practicals signed in 2026: 1; to be marked twice: 1; marked twice so far: 0." in body
        assert "Not you:" in body
        assert "an administrator gives another one the permission" in body
        mark(signed, cast.tess)
        assert "No practical waits" in page(cast.client("tess").get(reverse("agreement:index")))

    def test_is_for_staff(self, cast: Cast, signed: Signoff) -> None:
        """Crew and supervisors do not see it, and are told why."""
        for name in ("ada", "sol"):
            refused = cast.client(name).get(reverse("agreement:index"))
            assert refused.status_code == 403
            assert "Your role does not include this page." in refused.text
            assert cast.client(name).get(reverse("agreement:mark", args=[signed.pk])).status_code == 403


class TestSteps:
    def rows(self, cast: Cast, signed: Signoff, counts: dict[tuple[bool, bool | None], int]):
        """Return the rows of the report for so many practicals of each pair of marks on the first step."""
        number = 0
        for (first, second), times in counts.items():
            for _ in range(times):
                number += 1
                checks = [CHECKS[0] | {"seen": first}]
                facts = {"id": UUID(int=number), "on": date(2026, 11, 2), "checks": checks, "sitting": signed.sitting}
                made = signoff(cast.ben, signed.scheme_issue, assessor=cast.olga, **facts)
                SecondMarking.objects.create(
                    signoff=made,
                    candidate=cast.ben,
                    first=cast.olga,
                    assessor=cast.tess,
                    how=How.RAIL,
                    marks={"clean": second},
                    marked_at=AT,
                )
        return queries.steps(SecondMarking.objects.all())

    def test_print_all_three_figures_and_the_table(self, cast: Cast, signed: Signoff) -> None:
        """96/2/2/0: 96 % agreed, kappa -0.02, adjusted 0.92; what cannot be told is left out of the count."""
        pairs = {(True, True): 96, (True, False): 2, (False, True): 2, (True, None): 3}
        (row,) = self.rows(cast, signed, pairs)
        assert (row.counts.both, row.counts.first, row.counts.second, row.counts.neither) == (96, 2, 2, 0)
        assert (row.agreed, row.limits) == ("96 of 100: 96\u00a0%", "90 to 98\u00a0%")
        assert (row.kappa, row.pabak, row.says) == ("−0.02", "0.92", "")
        body = page(cast.client("tess").get(reverse("agreement:index")))
        assert "−0.02, standard error" in body
        assert '<th scope="col" class="number">First only</th>' in body

    @pytest.mark.parametrize(
        ("pairs", "says", "kappa"),
        [
            ({(True, True): 20, (True, False): 9}, "Counts alone until", ""),
            ({(True, True): 40}, "chance explains everything", ""),
            ({(True, True): 20, (False, False): 20}, "Provisional", "1.00"),
        ],
    )
    def test_say_what_so_many_carry(self, cast: Cast, signed: Signoff, pairs, says: str, kappa: str) -> None:
        """Below 30 counts alone; no kappa where both always said the same."""
        (row,) = self.rows(cast, signed, pairs)
        assert says in row.says
        assert row.kappa == kappa

    def test_take_a_fixed_number_of_queries(self, cast: Cast, signed: Signoff, django_assert_num_queries) -> None:
        """However many practicals there are."""
        self.rows(cast, signed, {(True, True): 5})
        with django_assert_num_queries(9):
            queries.index(cast.tess, Person.objects.all(), on=ON)
