"""A step that a practical watches cannot be amended away."""

from io import StringIO

from django.core.management import call_command

from certs.schemes.queries import steps_watched
from tests.cast import AT, Cast
from training.amendments import operations, queries
from training.procedures.models import Revision


def test_a_step_of_a_practical_stays(cast: Cast) -> None:
    """The assessor's sheet would point at nothing, and the file written out would be refused."""
    call_command("load_content", stdout=StringIO())
    step, user = next((step, user) for step, user in steps_watched() if step.startswith("firing."))
    base = Revision.objects.select_related("module").get(module__slug="firing")
    held = operations.begin(base=base, by=cast.tess, at=AT)
    operations.remove_step(amendment=held, slug=step.removeprefix("firing."))
    held.refresh_from_db()
    said = [one.sentence for one in queries.check(held).objections]
    assert any("cannot be taken out" in one and user in one for one in said)
    assert user.startswith("the practical of ")
