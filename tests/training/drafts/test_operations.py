"""Beginning, keeping, using, revising and retiring, also by several people at once."""

from threading import Barrier, Thread

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connections, transaction

from tests.cast import AT, assemble
from tests.training.drafts.conftest import SENT
from training.bank.models import Question, QuestionVersion
from training.content.questions import read_question
from training.drafts import operations, queries, rules
from training.drafts.models import Draft, Retirement
from training.ledger.models import Entry
from training.ledger.queries import fault
from training.people.models import Person
from training.procedures.models import Module, Revision
from training.questions.book import calculations

DROP = "circuit.voltage_drop"
TYPED = {name: value for name, value in SENT.items() if name != "edits"}


def kept(by: Person, **changed: object) -> Draft:
    """Begin and keep a draft."""
    draft = operations.begin(computation=DROP, by=by, at=AT)
    return operations.keep(draft=draft, typed=TYPED | changed, edits=0, by=by, at=AT)


def use(draft: Draft, by: Person, changed: str = "") -> QuestionVersion:
    """Take a draft into use as its check reads it."""
    digest = queries.check(draft).spec.digest
    return operations.take_into_use(draft=draft, digest=digest, changed=changed, by=by, at=AT)


class TestBegin:
    def test_fills_in_what_the_catalogue_knows(self, site) -> None:
        """Units, symbols and words of the inputs, the unit of the answer, the source."""
        draft = operations.begin(computation=DROP, by=site.tess, at=AT)
        assert draft.typed["in-current-unit"] == "A"
        assert draft.typed["answer-unit"] == "V"
        assert "Kirchhoff" in draft.typed["source"]
        assert (draft.version, draft.key, draft.made_by) == (1, "", site.tess)


class TestKeep:
    def test_holds_its_key_against_other_drafts(self, site) -> None:
        """The second one is kept without the key; once the first lets go, it may have it."""
        first, second = kept(site.tess), kept(site.olga)
        assert (first.key, second.key) == (SENT["key"], "")
        operations.keep(draft=first, typed=TYPED | {"key": "another"}, edits=1, by=site.tess, at=AT)
        again = operations.keep(draft=second, typed=TYPED, edits=1, by=site.olga, at=AT)
        assert again.key == SENT["key"]

    @pytest.mark.parametrize("key", ["drop-1", "x" * 81])
    def test_does_not_hold_what_it_cannot_have(self, site, key: str) -> None:
        """The key of a question, or one too long, is kept as typed and stands in nobody's way."""
        draft = kept(site.tess, key=key)
        assert (draft.key, draft.typed["key"]) == ("", key)
        assert "key" in {one.field for one in queries.check(draft).mistakes}

    def test_a_used_draft_is_gone(self, site) -> None:
        """Nothing can be kept in it, thrown away or used again."""
        draft = kept(site.tess)
        use(draft, site.tess)
        with pytest.raises(operations.Gone):
            operations.keep(draft=draft, typed=TYPED, edits=1, by=site.tess, at=AT)
        with pytest.raises(operations.Gone):
            operations.discard(draft=draft)
        assert Draft.objects.get().used_as is not None
        assert str(draft) == f"{SENT['key']} v1"


class TestUse:
    def test_a_draft_with_mistakes_stays_a_draft(self, site) -> None:
        """Whatever digest is sent."""
        draft = kept(site.tess, topic="")
        with pytest.raises(operations.Unsound):
            operations.take_into_use(draft=draft, digest="", changed="", by=site.tess, at=AT)

    def test_a_key_taken_by_the_files_in_between(self, site, monkeypatch) -> None:
        """Between the check and the button, content is loaded that has the key."""
        draft = kept(site.tess)
        spec = queries.check(draft).spec
        Question.objects.create(key=spec.key)
        monkeypatch.setattr(queries, "check", lambda _draft: queries.Check(spec, ()))
        with pytest.raises(operations.Unsound):
            operations.take_into_use(draft=draft, digest=spec.digest, changed="", by=site.tess, at=AT)

    def test_leaves_a_chain_of_entries(self, site) -> None:
        """The ledger holds ids, the version and the fingerprint, and no name."""
        version = use(kept(site.tess), site.tess)
        operations.retire(question=version.question, reason="Old plug.", by=site.max, at=AT)
        acts = [(one.act, one.by, one.about) for one in Entry.objects.order_by("seq")]
        about = {"question": version.question_id, "version": 1, "digest": version.digest}
        used, gone = "question taken into use", "question retired"
        assert acts == [(used, site.tess.pk, about), (gone, site.max.pk, about)]
        assert not fault()


class TestRevise:
    def test_goes_on_with_the_draft_that_is_open(self, site) -> None:
        """One next version at a time."""
        version = use(kept(site.tess), site.tess)
        first = operations.revise(version=version, by=site.olga, at=AT)
        assert operations.revise(version=version, by=site.tess, at=AT) == first
        assert queries.check(first).spec.version == 2

    def test_keeps_the_key(self, site) -> None:
        """Whatever key is sent."""
        draft = operations.revise(version=use(kept(site.tess), site.tess), by=site.tess, at=AT)
        again = operations.keep(draft=draft, typed=TYPED | {"key": "other"}, edits=0, by=site.tess, at=AT)
        assert (again.key, again.typed["key"]) == (SENT["key"], SENT["key"])


class TestTables:
    def test_a_used_draft_names_who_and_when(self, site) -> None:
        """The database refuses half a record, and says it in words."""
        draft = kept(site.tess)
        draft.used_by = site.tess
        with pytest.raises(ValidationError, match="by whom and when"):
            draft.validate_constraints()
        with pytest.raises(IntegrityError), transaction.atomic():
            draft.save()

    def test_a_retirement_has_a_reason(self, site) -> None:
        """None without."""
        row = Retirement(question=Question.objects.first(), by=site.max, reason="", at=AT)
        assert str(row) == f"{row.question_id} retired"
        with pytest.raises(ValidationError, match="Say why"):
            row.validate_constraints()

    def test_a_question_comes_from_somewhere(self, site) -> None:
        """From the files or from the site."""
        with pytest.raises(ValidationError, match="in the files or on the site"):
            Question(key="x", origin="air").validate_constraints()


class TestQueries:
    def test_the_list_takes_three_queries(self, site, django_assert_num_queries) -> None:
        """However many drafts and versions there are."""
        version = use(kept(site.tess), site.tess)
        operations.revise(version=version, by=site.tess, at=AT)
        kept(site.olga, key="another")
        with django_assert_num_queries(3):
            index = queries.index()
        assert [one.key for one in index.drafts] == ["another", SENT["key"]]
        assert [one.on_site for one in index.in_use] == [False, False, True]

    def test_the_preview_reads_nothing(self, site, django_assert_num_queries) -> None:
        """Two hundred draws are worked out, not looked up; a ladder of numbers says where its key stands."""
        assert queries.check(kept(site.tess, **{"answer-ask": "options"})).spec is None  # two wrong answers are wanted
        ladder = {"in-current-from": "2", "in-current-to": "9", "in-current-step": "1", "in-resistance-list": "2 3 5"}
        wrong = ["circuit.voltage_drop.upside_down", "circuit.voltage_drop.squared"]
        ladder |= {"in-resistance-unit": "ohm", "answer-ask": "options", "wrong": wrong, "key": "other"}
        spec = queries.check(kept(site.olga, **ladder)).spec
        with django_assert_num_queries(0):
            preview = queries.preview(spec)
        assert len(preview.sheets) == rules.SHOWN
        facts = dict(preview.facts)
        assert (facts["Draws looked at"], facts["Place of the right option"]) == ("200", "0, 200, 0")
        assert all(len(sheet.options) == 3 and sheet.answer in sheet.options for sheet in preview.sheets)
        assert "too often in the same place" in preview.advice[0]

    def test_the_preview_says_what_is_wrong(self, site) -> None:
        """Values outside the range of the computation are lost; few values make few questions."""
        draft = kept(site.tess, **{"in-resistance-list": "5 20 30", "in-resistance-unit": "ohm"})
        (lost,) = queries.preview(queries.check(draft).spec).objections
        assert "outside the range of its computation" in lost
        few = kept(site.olga, key="few", **{"in-current-how": "constant", "in-current-list": "200"})
        preview = queries.preview(queries.check(few).spec)
        assert not preview.objections
        assert "only 3 different questions" in preview.advice[0]
        none = {"in-resistance-list": "20 30", "in-resistance-unit": "ohm"}
        table = rules.question({**TYPED, **none}, computation=DROP, version=1)
        spec = read_question(table, book=calculations(), seeds=0)
        assert "No usable values" in queries.preview(spec).objections[0]

    def test_every_computation_is_in_the_list(self) -> None:
        """By subject, each with words for its ranges; the choices that fit a unit are those that give it."""
        every = [one for subject in queries.catalogue() for one in subject.computations]
        assert len(every) == len({one.key for one in every}) > 90
        assert all(one.source and one.output.says for one in every)
        assert [slot.range for slot in queries.computation("leads.class5").inputs] != [""]
        fitting = [key for _subject, inside in queries.computations(fitting="V") for key, _words in inside]
        assert DROP in fitting
        assert "leads.class5" not in fitting


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
def test_taken_into_use_from_six_windows_at_once_it_is_used_once() -> None:
    """One version and one entry; the others hear that the draft is gone."""
    cast = assemble()
    module = Module.objects.create(slug="setup")
    facts = {"title": "Setup", "language": "en", "digest": "-", "changed": "First issue.", "order": 1, "loaded_at": AT}
    Revision.objects.create(module=module, number=1, body={"steps": [{"slug": "leads", "title": "Leads"}]}, **facts)
    draft = kept(cast.tess)
    digest, barrier, heard = queries.check(draft).spec.digest, Barrier(6), []

    def press() -> None:
        try:
            barrier.wait()
            operations.take_into_use(draft=draft, digest=digest, changed="", by=cast.tess, at=AT)
            heard.append("used")
        except (operations.Gone, operations.Unsound):
            heard.append("gone")
        finally:
            connections.close_all()

    threads = [Thread(target=press) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(heard) == ["gone"] * 5 + ["used"]
    assert QuestionVersion.objects.count() == 1
    assert Entry.objects.filter(act="question taken into use").count() == 1


@pytest.mark.both
@pytest.mark.django_db(transaction=True)
def test_one_key_typed_into_six_drafts_at_once_is_held_by_one() -> None:
    """All six keep what was typed."""
    tess = assemble().tess
    drafts = [operations.begin(computation=DROP, by=tess, at=AT) for _ in range(6)]
    barrier = Barrier(6)

    def press(draft: Draft) -> None:
        try:
            barrier.wait()
            operations.keep(draft=draft, typed=TYPED, edits=0, by=tess, at=AT)
        finally:
            connections.close_all()

    threads = [Thread(target=press, args=(draft,)) for draft in drafts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    rows = Draft.objects.values_list("key", "edits")
    assert sorted(rows) == [("", 1)] * 5 + [(SENT["key"], 1)]
