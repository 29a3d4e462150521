"""Jobs of Northmoor, and an assessor who can come."""

import pytest

from certs.schemes.models import Authority
from certs.schemes.rules import Act
from tests.cast import AT, ON, Cast
from tests.certs.factory import scheme_issue
from tests.certs.jobs.conftest import cast as assembled
from tests.certs.jobs.conftest import make

__all__ = ["assembled", "make"]


@pytest.fixture
def cast(assembled: Cast) -> Cast:
    """Everyone; Olga may assess under their scheme."""
    facts = {"scheme": scheme_issue().scheme, "act": Act.ASSESSES, "from_on": ON}
    Authority.objects.create(person=assembled.olga, granted_by=assembled.max, granted_at=AT, **facts)
    return assembled
