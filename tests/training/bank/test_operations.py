"""Loading questions."""

from datetime import timedelta

import pytest

from tests.cast import AT
from tests.training.quizzes.pool import question, questions
from training.bank import operations
from training.bank.models import Question, QuestionVersion
from training.bank.rules import Origin
from training.content.tally import Tally

DAY = timedelta(days=1)


@pytest.mark.django_db
class TestLoad:
    def test_keeps_new_questions_with_their_text(self):
        assert operations.load_questions(questions(), at=AT) == Tally(new=10)
        version = QuestionVersion.objects.get(question__key="one-1")
        assert (version.version, version.kind, version.topic, version.level) == (1, "one", "safety", "know")
        assert (version.safety, version.loaded_at) == (True, AT)
        assert version.body == question("one").as_json()
        assert version.digest == question("one").digest

    def test_changes_nothing_the_second_time(self):
        operations.load_questions(questions(), at=AT)
        assert operations.load_questions(questions(), at=AT + DAY) == Tally(unchanged=10)
        assert QuestionVersion.objects.filter(loaded_at=AT).count() == 10

    def test_keeps_a_revision_beside_the_old_version(self):
        operations.load_questions([question("one")], at=AT)
        assert operations.load_questions([question("one", version=2, minutes=4)], at=AT) == Tally(revised=1)
        assert list(QuestionVersion.objects.order_by("version").values_list("version", flat=True)) == [1, 2]

    def test_retires_what_is_left_out_and_takes_it_back(self):
        operations.load_questions([question("one"), question("order")], at=AT)
        assert operations.load_questions([question("one")], at=AT + DAY) == Tally(unchanged=1, retired=1)
        assert Question.objects.get(key="order-1").retired_at == AT + DAY
        assert operations.load_questions([question("one")], at=AT + 2 * DAY) == Tally(unchanged=1)
        assert operations.load_questions([question("one"), question("order")], at=AT) == Tally(unchanged=1, revised=1)
        assert not Question.objects.filter(retired_at__isnull=False).exists()

    def test_refuses_all_when_content_changed_without_a_higher_version(self):
        operations.load_questions([question("one", version=2), question("order")], at=AT)
        changed = [question("one", version=2, minutes=9), question("order", minutes=9), question("drop")]
        with pytest.raises(operations.ChangedContent, match="Raise the version") as caught:
            operations.load_questions(changed, at=AT)
        assert caught.value.names == ("one-1", "order-1")
        with pytest.raises(operations.ChangedContent):
            operations.load_questions([question("one", version=1)], at=AT)
        assert not Question.objects.filter(key="drop-1").exists()

    def test_leaves_alone_what_is_written_on_the_site(self):
        operations.load_questions([question("one"), question("order")], at=AT)
        Question.objects.filter(key="order-1").update(origin=Origin.SITE)
        assert operations.load_questions([question("one")], at=AT + DAY) == Tally(unchanged=1)
        assert Question.objects.get(key="order-1").retired_at is None

    def test_refuses_a_key_of_the_site(self):
        operations.load_questions([question("order")], at=AT)
        Question.objects.update(origin=Origin.SITE)
        with pytest.raises(operations.KeysOfTheSite, match="Give each question of the files another key"):
            operations.load_questions([question("one"), question("order")], at=AT)
        assert Question.objects.count() == 1
