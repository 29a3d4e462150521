"""Several assessors who mark one practical at the same moment."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pytest
from django.db import connection

from certs.agreement import operations
from certs.agreement.models import SecondMarking
from certs.agreement.rules import How
from certs.schemes.models import Authority
from certs.schemes.rules import Act
from tests.cast import AT, ON, START, assemble
from tests.certs.factory import scheme_issue, signoff
from training.ledger.models import Entry


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwins:
    def test_make_one_second_marking(self) -> None:
        """One of them is the second assessor, whose two windows count once; the others are told."""
        cast = assemble()
        issue = scheme_issue()
        for person in (cast.tess, cast.max, cast.dora):
            facts = {"scheme": issue.scheme, "act": Act.ASSESSES, "from_on": START}
            Authority.objects.create(person=person, granted_by=cast.max, granted_at=AT, **facts)
        signed = signoff(cast.ada, issue, assessor=cast.olga, on=date(2026, 11, 2))

        def press(who: str) -> str:
            facts = {"how": How.RAIL, "marks": {}, "remarks": "", "at": AT, "on": ON}
            try:
                operations.mark_again(signoff=signed, by=getattr(cast, who), **facts)
            except operations.MayNotMark as refusal:
                return str(refusal)
            finally:
                connection.close()
            return ""

        with ThreadPoolExecutor(4) as pool:
            said = list(pool.map(press, ["tess", "max", "dora", "tess"]))
        assert SecondMarking.objects.count() == 1
        assert Entry.objects.filter(act="practical marked again").count() == 1
        assert {one for one in said if one} == {"A second assessor has marked it already."}
