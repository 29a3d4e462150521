"""The command that loads content: all or nothing, and nothing twice."""

import re
import shutil
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from certs.schemes.models import SchemeIssue
from training.bank.models import Question, QuestionVersion
from training.procedures.models import Module, Revision
from training.quizzes.models import Paper

FOLDER = settings.BASE_DIR / "fixtures" / "content"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the content, to be changed."""
    return Path(shutil.copytree(FOLDER, tmp_path / "content"))


def load(folder: Path, *flags: str) -> str:
    said = StringIO()
    call_command("load_content", str(folder), *flags, stdout=said)
    return said.getvalue().strip()


def counts(said: str) -> tuple[int, ...]:
    shape = re.fullmatch(r"(\d+) new, (\d+) revised, (\d+) retired, (\d+) unchanged", said)
    assert shape, said
    return tuple(map(int, shape.groups()))


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.django_db
class TestLoadContent:
    def test_loads_every_kind_and_a_second_run_changes_nothing(self, folder):
        new, *others = counts(load(folder))
        assert others == [0, 0, 0]
        assert new == sum(kind.objects.count() for kind in (Module, Question, Paper, SchemeIssue))
        assert Module.objects.count() == len(list(folder.glob("*/procedure.toml")))
        assert counts(load(folder)) == (0, 0, 0, new)

    def test_counts_a_changed_procedure_as_revised(self, folder):
        new, *_ = counts(load(folder))
        change(folder / "setup" / "procedure.toml", 'changed = "', 'changed = "Says it shorter. ')
        assert counts(load(folder)) == (0, 1, 0, new - 1)
        assert Revision.objects.get(module__slug="setup", number=2).changed.startswith("Says it shorter.")

    def test_loads_the_folder_of_the_project_unless_told_another(self):
        said = StringIO()
        call_command("load_content", stdout=said)
        assert counts(said.getvalue().strip())[0] > 0

    def test_loads_nothing_when_one_file_has_a_mistake(self, folder):
        change(folder / "setup" / "procedure.toml", 'bound = "at most"', 'bound = "at worst"')
        change(folder / "schemes.toml", "months = 36", "months = 0")
        with pytest.raises(CommandError) as refusal:
            load(folder)
        said = str(refusal.value)
        assert re.search(r"^setup/procedure\.toml: .*bound: .*at worst", said, re.MULTILINE)
        assert re.search(r"^schemes\.toml: .*months: must be from 1", said, re.MULTILINE)
        assert said.endswith("to put right. Nothing was loaded.")
        assert refusal.value.returncode == 1
        assert not Module.objects.exists()

    def test_loads_nothing_when_a_question_changed_under_its_version(self, folder):
        load(folder)
        change(folder / "setup" / "procedure.toml", 'changed = "', 'changed = "Says it shorter. ')
        change(folder / "safety" / "questions.toml", "minutes = ", "minutes = 1")
        with pytest.raises(CommandError, match=r"without a higher version(.|\n)*Nothing was loaded\.$"):
            load(folder)
        assert Revision.objects.filter(number=2).count() == 0

    def test_loads_nothing_when_a_scheme_changed_under_its_issue(self, folder):
        load(folder)
        change(folder / "schemes.toml", "bonds = 3", "bonds = 4")
        with pytest.raises(CommandError, match=r"Nothing was loaded\.$"):
            load(folder)
        assert SchemeIssue.objects.get(scheme__slug="rail-bonds").body["bonds"] == 3

    def test_retires_what_has_no_file_any_more(self, folder):
        new, *_ = counts(load(folder))
        text = (folder / "papers.toml").read_text(encoding="utf-8")
        schemes = (folder / "schemes.toml").read_text(encoding="utf-8")
        # The second paper and the scheme that asks for it go together, or the files would contradict each other.
        (folder / "papers.toml").write_text("[[paper]]".join(text.split("[[paper]]")[:2]), encoding="utf-8")
        (folder / "schemes.toml").write_text("[[scheme]]".join(schemes.split("[[scheme]]")[:2]), encoding="utf-8")
        assert counts(load(folder)) == (0, 0, 2, new - 2)
        assert QuestionVersion.objects.exists()


class TestCheck:
    """Without the database fixture, any query would fail the test."""

    def test_says_that_there_is_no_mistake(self, folder):
        assert load(folder, "--check") == "No mistakes."

    def test_names_the_mistakes(self, folder):
        change(folder / "firing" / "practical.toml", 'step = "firing.stance"', 'step = "firing.dance"')
        with pytest.raises(CommandError, match=r"firing/practical\.toml: .*firing\.dance"):
            load(folder, "--check")

    def test_names_a_folder_that_is_not_there(self, tmp_path):
        with pytest.raises(CommandError, match="is not a folder of content"):
            load(tmp_path / "none", "--check")
