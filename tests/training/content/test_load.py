"""A folder of content read whole."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from tests.training.questions.workbook import BOOK, CHAIN, DROP, SEVERAL
from training.content.links import thin
from training.content.load import Content, read_content
from training.content.mistakes import ContentErrors
from training.content.papers import PaperSpec
from training.content.schemes import SchemeSpec
from training.questions.pools import Pool
from training.questions.specs import Level

SETUP = """
language = "en"
slug = "setup"
title = "Set up"
order = 2
purpose = "To be ready."
changed = "First issue."
tools = ["Meter"]
stops = ["Rain"]
sources = ["common practice"]
[[step]]
slug = "leads"
title = "Leads"
text = "Lay them out."
why = "A coil takes voltage."
[[step.figure]]
says = "Rest voltage"
value = "38.0"
unit = "V"
bound = "at least"
source = "common practice, no source"
[[step]]
slug = "earth"
title = "Earth"
text = "Bright steel."
why = "Rust is no conductor."
hold = "Clamp is tight."
"""
SAFETY = SETUP.replace('"setup"', '"safety"').replace("order = 2", "order = 1")
PRACTICAL = """
language = "en"
[[check]]
slug = "earth-bright"
step = "setup.earth"
text = "Cleans to bright steel"
good = "No rust under the clamp"
critical = true
[[check]]
slug = "leads-straight"
step = "setup.leads"
text = "Lays leads straight"
good = "No coil"
weight = 2
"""
PAPERS = """
[[paper]]
slug = "theory"
version = 1
title = "Theory"
minutes = 30
pass = "0.8"
waits_days = [1, 7, 30]
[[paper.cell]]
topic = "setup"
level = "apply"
count = 1
[[paper.cell]]
topic = "safety"
level = "know"
count = 1
"""
SCHEMES = """
[[scheme]]
slug = "bonds"
issue = 1
title = "Bonds"
scope = "Pins of 8 mm"
limits = "Not on switches"
modules = ["safety", "setup"]
paper = "theory"
practical = ["setup"]
months = 36
confirm_months = 6
unconfirmed = "stops"
last_day = "eve"
zone = "Europe/London"
renew_months = 6
grace_months = 6
bonds = 3
joint_limit = "120"
joint_limit_source = "site setting"
meter_percent = "0.5"
meter_digits = 2
pack_floor = "38.0"
decision = "on signing"
"""
FILES = {
    "setup/procedure.toml": SETUP,
    "setup/questions.toml": 'language = "en"\n' + "".join(
        "[[question]]" + text.replace("\n[", "\n[question.").replace("[question.[", "[[question.") for text in (DROP,)
    ),
    "setup/practical.toml": PRACTICAL,
    "safety/procedure.toml": SAFETY,
    "safety/questions.toml": 'language = "en"\n[[question]]' + SEVERAL,
    "papers.toml": PAPERS,
    "schemes.toml": SCHEMES,
}  # fmt: skip
HOLD = 'hold = "Clamp is tight."'
# A paper of both questions could not be put together once they are enemies.
ONE_CELL = ("papers.toml", '[[paper.cell]]\ntopic = "safety"\nlevel = "know"\ncount = 1\n', "")
FOUR, TWICE, PAPER = 'ask = ["a", "b", "c", "d"]', 'ask = ["two-leads", "two-leads"]', 'ask = ["before-firing"]'
Folder = Callable[..., Path]


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """Write a folder of content, with some files changed: (file, what stands there, what shall) or a file left out."""

    def write(*changes: tuple[str, str, str] | str) -> Path:
        files = dict(FILES)
        for change in changes:
            if isinstance(change, str):
                del files[change]
            else:
                name, old, new = change
                assert old in files.get(name, ""), (name, old)
                files[name] = files.get(name, "").replace(old, new) if old else new
        for name, text in files.items():
            path = tmp_path / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return tmp_path

    return write


def refused(root: Path) -> list[str]:
    with pytest.raises(ContentErrors) as caught:
        read_content(root, book=BOOK)
    return [str(mistake) for mistake in caught.value.mistakes]


class TestReadContent:
    def test_reads_everything(self, folder: Folder) -> None:
        """Modules in reading order, questions, checks, papers, schemes."""
        content = read_content(folder(), book=BOOK)
        assert [module.slug for module in content.modules] == ["safety", "setup"]
        assert [step.slug for step in content.modules[1].steps] == ["leads", "earth"]
        assert content.modules[1].steps[0].figures[0].value == "38.0"
        assert [question.key for question in content.questions] == ["before-firing", "two-leads"]
        assert [(check.module, check.slug, check.critical, check.weight) for check in content.checks] == [
            ("setup", "earth-bright", True, 1),
            ("setup", "leads-straight", False, 2),
        ]
        assert content.papers[0].cells[0].level is Level.APPLY
        assert str(content.schemes[0].pack_floor) == "38.0"

    def test_lets_a_practical_leave_its_language_to_the_module(self, folder: Folder) -> None:
        """The checks are the same with and without it."""
        changed = folder(("setup/practical.toml", 'language = "en"', ""))
        assert len(read_content(changed, book=BOOK).checks) == 2

    def test_passes_over_folders_without_content(self, folder: Folder) -> None:
        """Drawings and notes may stand beside the modules."""
        root = folder()
        (root / "drawings").mkdir()
        assert len(read_content(root, book=BOOK).modules) == 2

    def test_reads_a_folder_with_a_part_of_the_files(self, folder: Folder) -> None:
        """Papers and schemes may come later."""
        root = folder(
            "papers.toml", "schemes.toml", "setup/practical.toml", "setup/questions.toml", "safety/procedure.toml"
        )
        content = read_content(root, book=BOOK)
        assert content == Content(
            modules=content.modules, questions=content.questions, checks=(), papers=(), schemes=()
        )
        assert len(content.modules) == len(content.questions) == 1

    def test_refuses_a_path_that_is_no_folder(self, tmp_path: Path) -> None:
        """A misspelt path is not an empty folder."""
        assert refused(tmp_path / "missing")[0].endswith("is not a folder of content")

    @pytest.mark.parametrize("text", ["language = ", "\x00", "a = " + "[" * 3000])
    def test_refuses_a_file_that_is_no_toml(self, folder: Folder, text: str) -> None:
        """With the place the reader gave, and the other files are still read."""
        lines = refused(folder(("setup/procedure.toml", SETUP, text), ("papers.toml", 'pass = "0.8"', 'pass = "2"')))
        assert [line.split(":")[0] for line in lines] == ["papers.toml", "setup/procedure.toml"]
        assert "cannot be read" in lines[1]

    def test_refuses_a_file_that_is_no_text(self, folder: Folder) -> None:
        """Bytes that are not UTF-8."""
        root = folder()
        (root / "papers.toml").write_bytes(b"\xff\xfe")
        assert "papers.toml: cannot be read" in refused(root)[0]

    def test_refuses_a_file_too_large_to_be_content(self, folder: Folder) -> None:
        """Two million bytes are a mistake, not a module."""
        root = folder()
        (root / "papers.toml").write_text("#" * 2_000_001)
        assert "is larger than" in refused(root)[0]

    def test_tells_the_mistakes_of_all_files_at_once(self, folder: Folder) -> None:
        """One in each of five files, each with its file and key."""
        lines = refused(
            folder(
                ("setup/procedure.toml", 'title = "Leads"', 'title = ""'),
                ("setup/questions.toml", 'unit = "A"', 'unit = "amp"'),
                ("setup/practical.toml", 'good = "No coil"', ""),
                ("papers.toml", "minutes = 30", "minutes = 0"),
                ("schemes.toml", 'zone = "Europe/London"', 'zone = "London"'),
            )
        )
        assert [line.split(":")[0] for line in lines] == [
            "papers.toml",
            "schemes.toml",
            "setup/practical.toml",
            "setup/procedure.toml",
            "setup/questions.toml",
        ]
        assert lines[3] == "setup/procedure.toml: step[leads].title: is empty; write text"

    @pytest.mark.parametrize(
        ("file", "old", "new", "says"),
        [
            ("setup/procedure.toml", '"setup"', '"set-up"', "slug: must be 'setup', the name of its folder"),
            ("setup/procedure.toml", 'slug = "earth"', 'slug = "leads"', "step: 'leads' is written 2 times"),
            ("setup/procedure.toml", SETUP[SETUP.index("[[step]]") :], "", "step: is missing"),
            ("setup/procedure.toml", 'unit = "V"', 'unit = "volts"', "figure[1].unit: 'volts' is not a unit"),
            ("setup/procedure.toml", 'unit = "V"', "", "figure[1].unit: is missing"),
            ("setup/procedure.toml", '"38.0"', '"many"', "figure[1].value: many is not a plain number"),
            ("setup/procedure.toml", '"at least"', '"between"', "figure[1].value_to: is missing"),
            ("setup/procedure.toml", '"at least"', '"between"\nvalue_to = "37"', "value_to: must be above 'value'"),
            ("setup/procedure.toml", '"at least"', '"at least"\nvalue_to = "39"', "value_to: belongs to the bound"),
            ("setup/procedure.toml", "order = 2", "order = 1", "order: 1 is shared by safety and setup"),
            ("setup/procedure.toml", HOLD, f"{HOLD}\nask = []", "step[earth].ask: is empty; write at least one text"),
            ("setup/procedure.toml", HOLD, 'ask = ["two-leads"]', "step[earth].ask: belongs to a step with a hold"),
            ("setup/procedure.toml", HOLD, f"{HOLD}\n{FOUR}", "step[earth].ask: may hold at most 3 keys"),
            ("setup/procedure.toml", HOLD, f"{HOLD}\n{TWICE}", "step.ask: 'two-leads' is written 2 times"),
            ("setup/procedure.toml", HOLD, f'{HOLD}\nask = ["x"]', "step[earth].ask: 'x' is no question's key"),
            ("setup/procedure.toml", HOLD, f"{HOLD}\n{PAPER}", "'before-firing' is kept for papers; a hold point asks"),
            ("setup/questions.toml", '"setup"', '"safety"', "topic: must be 'setup', the module"),
            ("setup/practical.toml", PRACTICAL, 'language = "en"', "check: is missing"),
            ("setup/practical.toml", "leads-straight", "earth-bright", "check: 'earth-bright' is written 2 times"),
            ("papers.toml", 'pass = "0.8"', 'pass = "0"', "paper[theory].pass: must be above 0"),
            ("papers.toml", 'level = "know"', 'level = "apply"', "paper[theory].cell: safety apply wants 1"),
            ("papers.toml", PAPERS[PAPERS.index("[[paper.cell]]") :], "", "paper[theory].cell: is missing"),
            (
                "papers.toml",
                'topic = "safety"\nlevel = "know"',
                'topic = "setup"\nlevel = "apply"',
                "is written 2 times",
            ),
            ("papers.toml", "count = 1", "count = 9", "setup apply wants 9 questions and 1 exist in 'en'"),
            ("schemes.toml", '"38.0"', '"0"', "scheme[bonds].pack_floor: must be above 0"),
            ("schemes.toml", '"0.5"', '"100"', "scheme[bonds].meter_percent: must be from 0"),
            ("schemes.toml", "bonds = 3", "bonds = 3\njoint_percent = 11", "joint_percent: must be from 0 to 10"),
            ("schemes.toml", "bonds = 3", "bonds = 3\ntrainer_days = 0", "trainer_days: must be above 0 and at most"),
            ("schemes.toml", "bonds = 3", "bonds = 3\ncurrent_percent = 11", "current_percent: must be from 0 to 10"),
            ("schemes.toml", "renew_months = 6", "renew_months = 36", "renew_months: must be shorter than 'months'"),
            ("schemes.toml", '["setup"]', '["firing"]', "scheme[bonds].practical: 'firing' is not among the modules"),
            ("schemes.toml", '["setup"]', '["safety"]', "scheme[bonds].practical: 'safety' has no practical.toml"),
            ("schemes.toml", '"safety", "setup"', '"safely", "setup"', "scheme[bonds].modules: 'safely' is no module"),
            ("schemes.toml", 'paper = "theory"', 'paper = "practice"', "scheme[bonds].paper: 'practice' is no paper"),
            ("schemes.toml", "bonds = 3", "", "scheme[bonds].bonds: is missing"),
        ],
    )
    def test_refuses_with_file_key_and_reason(self, folder: Folder, file: str, old: str, new: str, says: str) -> None:
        """What an author gets wrong, and the line that tells it."""
        assert any(line.startswith(file) and says in line for line in refused(folder((file, old, new))))

    def test_refuses_names_that_lead_nowhere(self, folder: Folder) -> None:
        """Steps of questions and checks, enemies of every kind."""
        enemies = 'enemies = ["set:lonely", "nobody", "two-leads", "before-firing"]'
        lines = refused(
            folder(
                ("setup/questions.toml", 'steps = ["setup.leads"]', f'steps = ["setup.lead"]\n{enemies}'),
                ("setup/practical.toml", '"setup.earth"', '"setup.erth"'),
                ONE_CELL,
            )
        )
        key = "setup/questions.toml: question[two-leads]"
        assert lines == [
            "setup/practical.toml: check[earth-bright].step: 'setup.erth' is no step of any module",
            f"{key}.enemies: 'nobody' is no question's key; a shared mark begins with 'set:'",
            f"{key}.enemies: 'set:lonely' is carried by this question alone; check its spelling",
            f"{key}.enemies: 'two-leads' is the question itself",
            f"{key}.steps: 'setup.lead' is no step of any module",
        ]

    def test_refuses_a_key_used_twice(self, folder: Folder) -> None:
        """Over all files, for ever."""
        assert refused(folder(("safety/questions.toml", '"before-firing"', '"two-leads"'))) == [
            "setup/questions.toml: question[two-leads].key: is used 2 times"
            " (safety/questions.toml, setup/questions.toml); a key is never reused"
        ]

    def test_reads_calculations_beside_the_questions(self, folder: Folder) -> None:
        """A module may keep its calculations in a file of their own; a mistake names the file it stands in."""
        root = folder()
        text = 'language = "en"\n[[question]]' + SEVERAL
        (root / "safety" / "calculations.toml").write_text(text.replace("before-firing", "in-its-own-file"))
        assert "in-its-own-file" in {spec.key for spec in read_content(root, book=BOOK).questions}
        (root / "safety" / "calculations.toml").write_text(text)
        assert refused(root) == [
            "safety/calculations.toml: question[before-firing].key: is used 2 times"
            " (safety/questions.toml, safety/calculations.toml); a key is never reused"
        ]

    def test_reads_what_a_hold_point_asks(self, folder: Folder) -> None:
        """A worded question of the practice pool, and a calculation of both, as it is without a word."""
        content = read_content(
            folder(
                ("setup/procedure.toml", HOLD, f'{HOLD}\nask = ["before-firing", "two-leads"]'),
                ("safety/questions.toml", "minutes = 1", 'minutes = 1\npool = "practice"'),
                "papers.toml",
                "schemes.toml",
            ),
            book=BOOK,
        )
        leads, earth = content.modules[1].steps
        assert earth.ask == ("before-firing", "two-leads")
        assert (earth.as_json()["ask"], "ask" in leads.as_json()) == (["before-firing", "two-leads"], False)

    def test_refuses_a_hold_point_in_another_language(self, folder: Folder) -> None:
        """Whoever reads the step must be able to answer."""
        changes = (('language = "en"', 'language = "fr"'), (HOLD, f'{HOLD}\nask = ["two-leads"]'))
        lines = refused(folder(*(("setup/procedure.toml", *change) for change in changes)))
        assert lines == ["setup/procedure.toml: step[earth].ask: 'two-leads' is written in 'en' and the module in 'fr'"]

    def test_refuses_a_paper_with_practice_questions_alone(self, folder: Folder) -> None:
        """What was answered with help on the page says nothing in an examination."""
        lines = refused(folder(("safety/questions.toml", "minutes = 1", 'minutes = 1\npool = "practice"')))
        assert lines == ["papers.toml: paper[theory].cell: safety know wants 1 questions and 0 exist in 'en'"]

    def test_refuses_more_anchors_than_places(self, folder: Folder) -> None:
        """An anchor is on every paper of its cell, so the cell must have room."""
        extra = "[[question]]" + SEVERAL.replace("before-firing", "other") + "anchor = true\n"
        text = FILES["safety/questions.toml"]
        lines = refused(folder(("safety/questions.toml", text, text + "anchor = true\n" + extra)))
        assert lines == ["papers.toml: paper[theory].cell: safety know has 2 anchors for 1 places"]

    def test_lets_two_questions_share_a_mark(self, folder: Folder) -> None:
        """A shared mark and another's key are good enemies."""
        both = (
            ("setup/questions.toml", "minutes = 3", 'minutes = 3\nenemies = ["set:arc", "before-firing"]'),
            ("safety/questions.toml", "minutes = 1", 'minutes = 1\nenemies = ["set:arc"]'),
            ONE_CELL,
        )
        assert len(read_content(folder(*both), book=BOOK).questions) == 2

    def test_waits_for_sound_files_before_it_looks_for_names(self, folder: Folder) -> None:
        """A refused module must not make every step of it a mistake too."""
        assert len(refused(folder(("setup/procedure.toml", 'title = "Leads"', 'title = ""')))) == 1


class TestThin:
    def test_names_the_cells_whose_pool_is_small(self, folder: Folder) -> None:
        """Five questions a place, ten for safety (house rule of the reference measurements)."""
        content = read_content(folder(), book=BOOK)
        assert list(thin(content)) == [
            "theory: setup apply draws 1 of 1; 5 are wanted",
            "theory: safety know draws 1 of 1; 10 are wanted",
        ]

    def test_counts_no_practice_question(self, folder: Folder) -> None:
        """However many there are, no paper draws them."""
        content = read_content(folder(), book=BOOK)
        practice = [replace(question, pool=Pool.PRACTICE) for question in content.questions * 10]
        lines = list(thin(replace(content, questions=(*content.questions, *practice))))
        assert lines == list(thin(content))

    def test_is_silent_on_an_ample_pool(self, folder: Folder) -> None:
        """Ten of the same kind are enough for one place."""
        content = read_content(folder(), book=BOOK)
        assert len(list(thin(replace(content, questions=content.questions * 10)))) == 0


class TestSpec:
    def test_gives_itself_back_as_json(self, folder: Folder) -> None:
        """Exact numbers as text, words as words, inner specs as tables."""
        content = read_content(folder(), book=BOOK)
        paper: PaperSpec = content.papers[0]
        assert paper.as_json()["passing"] == "0.8"
        assert paper.as_json()["cells"][0] == {"topic": "setup", "level": "apply", "count": 1}
        scheme: SchemeSpec = content.schemes[0]
        assert (scheme.as_json()["joint_limit"], scheme.as_json()["decision"]) == ("120", "on signing")

    def test_has_a_digest_that_follows_its_content(self, folder: Folder) -> None:
        """The same file gives the same digest; a changed word another."""
        first = read_content(folder(), book=BOOK).modules[1]
        second = read_content(
            folder(("setup/procedure.toml", "Lay them out.", "Lay them straight.")), book=BOOK
        ).modules[1]
        assert first.digest == read_content(folder(), book=BOOK).modules[1].digest != second.digest


def test_a_scenario_reads_from_toml_as_from_the_site(folder: Folder) -> None:
    """The nested tables of a file give the same question as the flat ones of a form."""
    text = (
        CHAIN.replace("[given.", "[question.given.")
        .replace("[[part", "[[question.part")
        .replace("[part.", "[question.part.")
    )
    name = "setup/questions.toml"
    content = read_content(folder((name, FILES[name], FILES[name] + "[[question]]" + text)), book=BOOK)
    assert [question.key for question in content.questions] == ["before-firing", "two-leads", "lead-chain"]
