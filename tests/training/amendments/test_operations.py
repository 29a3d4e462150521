"""Two at once, and the files that come after."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier

import pytest
from django.db import connection

from tests.cast import AT, Cast, assemble
from tests.training.amendments.conftest import CHANGED, MODULE
from training.amendments import operations, queries, rules
from training.amendments.models import Amendment
from training.content.drawings import DrawingSpec
from training.content.mistakes import ContentErrors
from training.content.tally import Tally
from training.ledger.models import Entry
from training.people.models import Person
from training.procedures import operations as procedures
from training.procedures.models import Revision


def ready(cast: Cast) -> Amendment:
    """An amendment of tess, proposed."""
    procedures.load([MODULE], at=AT)
    base = Revision.objects.select_related("module").get()
    held = operations.begin(base=base, by=cast.tess, at=AT)
    step = {**rules.step_of(held.body, "earth"), "hold": "It does not rock, looked at twice."}
    operations.keep_step(amendment=held, step=step)
    operations.keep_parts(amendment=held, parts={}, what_changed=CHANGED)
    return operations.propose(amendment=held, at=AT)


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
class TestTwins:
    def test_two_approvers_at_once(self):
        """One wins; the other is told and changes nothing."""
        cast = assemble()
        held = ready(cast)
        spec, barrier = queries.check(held).spec, Barrier(2)

        def approve(by: Person) -> int | None:
            try:
                barrier.wait(10)
                return operations.approve(amendment=held, by=by, digest=spec.digest, at=AT).number
            except operations.Decided:
                return None
            finally:
                connection.close()

        with ThreadPoolExecutor(2) as pool:
            found = set(pool.map(approve, [cast.olga, cast.max]))
        assert found == {2, None}
        assert Revision.objects.count() == 2
        assert Entry.objects.filter(act="procedure revised").count() == 1

    def test_one_approves_while_files_are_loaded(self):
        """Whichever comes first; the other is refused, and no number is given twice."""
        cast = assemble()
        held = ready(cast)
        digest, barrier = queries.check(held).spec.digest, Barrier(2)

        def approve() -> str:
            try:
                barrier.wait(10)
                operations.approve(amendment=held, by=cast.olga, digest=digest, at=AT)
            except operations.Unready:
                return "refused"
            finally:
                connection.close()
            return "in force"

        def load() -> str:
            try:
                barrier.wait(10)
                procedures.load([replace(MODULE, purpose="By file.", changed="By file.")], at=AT)
            except ContentErrors:
                return "refused"
            finally:
                connection.close()
            return "in force"

        with ThreadPoolExecutor(2) as pool:
            said = sorted(one.result() for one in (pool.submit(approve), pool.submit(load)))
        assert said == ["in force", "refused"]
        assert Revision.objects.count() == 2

    def test_two_begin_at_once(self):
        """One amendment; the other is led to it."""
        cast = assemble()
        procedures.load([MODULE], at=AT)
        base, barrier = Revision.objects.select_related("module").get(), Barrier(2)

        def begin(by: Person) -> int:
            try:
                barrier.wait(10)
                return operations.begin(base=base, by=by, at=AT).pk
            except operations.Taken as taken:
                return taken.amendment.pk
            finally:
                connection.close()

        with ThreadPoolExecutor(2) as pool:
            assert len(set(pool.map(begin, [cast.tess, cast.olga]))) == 1
        assert Amendment.objects.count() == 1


@pytest.fixture
def in_force(cast: Cast) -> Revision:
    """Revision 2, written on the site."""
    held = ready(cast)
    return operations.approve(amendment=held, by=cast.olga, digest=queries.check(held).spec.digest, at=AT)


def spec_of(revision: Revision):
    return queries.check(Amendment.objects.get(revision=revision)).spec


class TestFilesAfterwards:
    def test_do_not_revise_it_back(self, in_force: Revision):
        """The old file is refused with the way out; nothing else of that load is kept either."""
        other = replace(MODULE, slug="firing", order=2)
        with pytest.raises(ContentErrors) as refusal:
            procedures.load([MODULE, other], at=AT)
        words = "setup/procedure.toml: setup: was revised on the site as revision 2: write it out to the file first"
        assert str(refusal.value) == words
        assert list(Revision.objects.values_list("number", flat=True)) == [1, 2]

    def test_held_by_the_file_it_is_revised_there_as_ever(self, in_force: Revision):
        """The load that first finds the text changes nothing else; the next change of the file is a revision."""
        spec = spec_of(in_force)
        assert procedures.load([spec], at=AT) == Tally(unchanged=1)
        in_force.refresh_from_db()
        assert not in_force.awaits_file
        later = replace(spec, purpose="By file.", changed="By file.")
        assert procedures.load([later], at=AT) == Tally(revised=1)
        assert not Revision.objects.get(number=3).awaits_file

    def test_drawings_are_drawn_in_files_only(self, in_force: Revision):
        """The text being the same, a new drawing makes a revision of its own."""
        spec = spec_of(in_force)
        drawn: DrawingSpec = replace(spec.drawings[0], title="Both leads, redrawn")
        assert procedures.load([replace(spec, drawings=(drawn,))], at=AT) == Tally(revised=1)

    def test_an_older_text_of_the_site_is_not_enough(self, in_force: Revision, cast: Cast):
        """Two revisions on the site, one written out."""
        first = spec_of(in_force)
        base = Revision.objects.select_related("module").get(number=2)
        held = operations.begin(base=base, by=cast.tess, at=AT)
        operations.keep_parts(amendment=held, parts={"purpose": "Other."}, what_changed="Said better.")
        held = operations.propose(amendment=held, at=AT)
        operations.approve(amendment=held, by=cast.olga, digest=queries.check(held).spec.digest, at=AT)
        with pytest.raises(ContentErrors, match="as revision 3"):
            procedures.load([first], at=AT)


def test_a_procedure_has_an_end(cast: Cast):
    """However many steps are added."""
    procedures.load([MODULE], at=AT)
    held = operations.begin(base=Revision.objects.select_related("module").get(), by=cast.tess, at=AT)
    for _ in range(rules.MOST_STEPS - 3):
        operations.add_step(amendment=held, title="One more", fault=False, after="")
    with pytest.raises(operations.Unready, match="at most 80 steps"):
        operations.add_step(amendment=held, title="One more", fault=False, after="")


def test_a_step_gone_meanwhile_moves_nothing(cast: Cast):
    """Taken out in another tab."""
    procedures.load([MODULE], at=AT)
    held = operations.begin(base=Revision.objects.select_related("module").get(), by=cast.tess, at=AT)
    operations.remove_step(amendment=held, slug="pin")
    kept = operations.move_step(amendment=held, slug="pin", move=rules.Move.UP)
    assert [step["slug"] for step in kept.body["steps"]] == ["earth", "fault-dead"]
    operations.discard(amendment=held)
    with pytest.raises(operations.Closed):
        operations.remove_step(amendment=held, slug="earth")
