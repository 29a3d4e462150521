"""What is typed, the question it makes, and where its mistakes belong."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.training.drafts.conftest import SENT
from training.content.load import read_content
from training.content.mistakes import ContentErrors, Mistake
from training.content.questions import read_question
from training.drafts import rules
from training.drafts.rules import fields, tables
from training.questions.book import calculations
from training.questions.examine import Report
from training.questions.specs import Kind

CONTENT = Path(__file__).parents[3] / "fixtures" / "content"
DROP = "circuit.voltage_drop"
TYPED = {name: value for name, value in SENT.items() if name != "edits"}


def made(**changed: object) -> dict:
    """Return the table that TYPED makes with some fields changed."""
    return rules.question({**TYPED, **changed}, computation=DROP, version=1)


class TestPool:
    @pytest.mark.parametrize("pool", ["papers", "practice"])
    def test_survives_a_revision(self, pool: str) -> None:
        """What a question is kept for stays with it; the usual pool is not written."""
        table = made(pool=pool)
        assert table["pool"] == pool
        assert tables.typed_from(table)["pool"] == pool
        assert "pool" not in made()


class TestTyped:
    def test_keeps_the_fields_of_the_page_only(self) -> None:
        """Names of other computations and of nothing are left out; the last of several values counts."""
        sent = {"key": ["a", " b "], "in-current-unit": ["A"], "in-area-unit": ["mm2"], "other": ["x"], "prompt": []}
        assert rules.typed(sent, DROP) == {"key": "b", "in-current-unit": "A"}

    def test_lists(self) -> None:
        """What is ticked comes as a list, however much is sent."""
        sent = {"steps": ["setup.leads"] * 99, "wrong": ["x" * 999]}
        typed = rules.typed(sent, DROP)
        assert len(rules.ticked(typed, "steps")) == 60
        assert rules.ticked(typed, "wrong") == ["x" * 100]

    def test_a_value_of_another_shape_is_none(self) -> None:
        """A list where text is wanted reads as nothing, and the other way round."""
        assert rules.word({"key": ["a"]}, "key") == ""
        assert rules.ticked({"steps": "a"}, "steps") == []

    @pytest.mark.parametrize(("text", "rows"), [("", 0), ("2", 2), ("-3", 0), ("99", 8), ("x", 0), ("9" * 5000, 0)])
    def test_rows_asked(self, text: str, rows: int) -> None:
        """From none to eight."""
        assert rules.rows_asked({"values": text}, "values") == rows

    @pytest.mark.parametrize(("text", "count"), [("3", 3), ("", -1), ("x", -1), ("1" * 99, -1)])
    def test_count(self, text: str, count: int) -> None:
        """What is no count is one that no draft has."""
        assert rules.count(text) == count

    def test_buttons(self) -> None:
        """A button adds a row and says where it stands, or leads to the draws, or neither."""
        assert rules.pressed({"values": "1"}, "add-value") == ({"values": "2"}, "value-2-name")
        assert rules.pressed({}, "add-show") == ({"shows": "1"}, "show-1-name")
        assert rules.pressed({"values": "8"}, "add-value") == ({"values": "8"}, "value-8-name")
        assert rules.pressed({}, "draws") == ({}, rules.DRAWS_PAGE)
        assert rules.pressed({}, "anything") == ({}, "")

    def test_a_computation_that_left_the_catalogue(self) -> None:
        """It has no inputs and no unit; its draft can still be kept."""
        assert (rules.slots("no.such"), rules.output_unit("no.such")) == ((), "")
        assert rules.output_unit(DROP) == "V"


class TestQuestion:
    def test_reads_as_a_question(self) -> None:
        """The fields of the page make a question that the files' own check takes."""
        spec = read_question(made(), book=calculations())
        assert (spec.key, spec.minutes, spec.steps) == (TYPED["key"], 3, ("setup.leads",))
        assert [given.name for given in spec.givens] == ["current", "resistance"]
        assert spec.parts[0].answer.relative == pytest.approx(0.02)
        assert spec.parts[0].lines == ("U = I R", "{current} x {resistance} = {answer}")

    def test_every_calculation_of_the_content_can_be_typed(self) -> None:
        """Typed out and read again, a shipped question is the same, but for keys that no page has."""
        calculation = [one for one in read_content(CONTENT, seeds=0).questions if one.kind is Kind.CALCULATION]
        typable = [
            one for one in calculation if not one.parts[0].inputs and not any(w.inputs for w in one.parts[0].wrong)
        ]
        assert len(typable) > 90
        for spec in typable:
            key = spec.parts[0].computation
            table = rules.question(rules.typed_from(spec.as_json()), computation=key, version=spec.version)
            again = read_question(table, book=calculations(), seeds=0)
            # The page lists added values first, then the inputs as the computation has them.
            by_name = replace(again, givens=tuple(sorted(again.givens, key=lambda given: given.name)))
            wanted = replace(spec, anchor=False, givens=tuple(sorted(spec.givens, key=lambda given: given.name)))
            assert by_name.as_json() == wanted.as_json()

    def test_values_worked_out_come_after_those_they_need(self) -> None:
        """The order of the rows does not matter: an input may be worked out from an added value or another input."""
        own = {"in-current-how": "computation", "in-current-computation": "circuit.current_arc_voltage"}
        table = made(**own, **{"in-current-inputs": "earth_resistance = resistance"})
        assert list(table["given"]) == ["resistance", "current"]

    def test_a_circle_is_refused_not_followed(self) -> None:
        """Two values worked out from one another."""
        own = {"in-current-how": "computation", "in-current-computation": DROP, "in-current-decimals": "1"}
        own |= {"in-resistance-how": "computation", "in-resistance-computation": "circuit.resistance_from_current"}
        table = made(**own, **{"in-resistance-decimals": "1"})
        assert set(table["given"]) == {"current", "resistance"}
        with pytest.raises(ContentErrors, match="no value given before this"):
            read_question(table, book=calculations())

    def test_an_empty_row_is_dropped(self) -> None:
        """A row added and left alone, with its choice of how, does not count."""
        assert "" not in made(values="1", **{"value-1-how": "grid"})["given"]
        assert "" in made(values="2", **{"value-1-how": "grid", "value-2-says": "x"})["given"]

    @pytest.mark.parametrize(
        ("text", "read"),
        [("0,02", "0.02"), ("−12,5", "-12.5"), ("1 250", "1250"), ("1,250", "1,250"), ("1,2,3", "1,2,3"), ("x", "x")],
    )
    def test_numbers_as_people_write_them(self, text: str, read: str) -> None:
        """A decimal comma is fine; 1,250 may be a thousand and more (ISO 80000-1, 7.3.1) and is asked for again."""
        assert tables.number(text) == read

    @pytest.mark.parametrize("text", ["18 20 24", "18, 20, 24", "18;20;24", "18\n20 ; 24 "])
    def test_lists_as_people_write_them(self, text: str) -> None:
        """Spaces, semicolons, or commas before spaces."""
        assert made(**{"in-resistance-list": text})["given"]["resistance"]["choice"] == ["18", "20", "24"]

    def test_pairs(self) -> None:
        """Input and value, and a piece that names an input alone is kept to be refused."""
        assert tables.pairs("area = size, temperature=ambient;\nlonely") == {
            "area": "size", "temperature": "ambient", "lonely": "",
        }  # fmt: skip

    @given(st.dictionaries(st.sampled_from([*fields.names(DROP), *rules.LISTS]), st.text(max_size=30), max_size=40))
    def test_anything_typed_is_read_or_refused(self, sent: dict[str, str]) -> None:
        """No text in any field makes the check fall over, and every mistake has a field or stands above the form."""
        typed = rules.typed({name: [value] for name, value in sent.items()}, DROP)
        with pytest.raises(ContentErrors) as caught:
            read_question(rules.question(typed, computation=DROP, version=1), book=calculations())
        known = {"", *fields.names(DROP), *rules.LISTS}
        assert {rules.placed(one, typed, DROP).field for one in caught.value.mistakes} <= known
        rules.spelt_wrong(typed, DROP)
        rules.twice(typed, DROP)


ROWS = {"values": "2", "value-1-name": "Bad name", "value-2-name": "size", "shows": "1", "show-1-name": "back"}


class TestMistakes:
    @pytest.mark.parametrize(
        ("key", "field"),
        [
            ("key", "key"),
            ("prompt", "prompt"),
            ("steps", "steps"),
            ("wrong[2].computation", "wrong"),
            ("wrong", "wrong"),
            ("computation", "answer-unit"),
            ("inputs.current", "in-current-unit"),
            ("inputs.other", ""),
            ("answer", "answer-unit"),
            ("answer.relative", "answer-relative"),
            ("working.lines", "lines"),
            ("given", ""),
            ("given.current.from", "in-current-from"),
            ("given.current.constant", "in-current-list"),
            ("given.current.choice", "in-current-list"),
            ("given.current.inputs.area", "in-current-inputs"),
            ("given.current", "in-current-how"),
            ("given.other.unit", ""),
            ("given.Bad name", "value-1-name"),
            ("given.Bad name.unit", "value-1-unit"),
            ("given.size", "value-2-how"),
            ("show.back.unit", "show-1-unit"),
            ("show.back", "show-1-computation"),
            ("version", ""),
        ],
    )
    def test_has_its_field(self, key: str, field: str) -> None:
        """Each key of a question leads to the field of the page it came from."""
        assert rules.placed(Mistake("question", key, "is missing"), TYPED | ROWS, DROP).field == field

    def test_units_and_placeholders_are_found_early(self) -> None:
        """In the very words of the later check, so that none is said twice."""
        changed = {"in-current-unit": "amps!", "prompt": "{current} {other.number}", "answer-unit": "X"}
        with pytest.raises(ContentErrors) as caught:
            read_question(made(**changed), book=calculations())
        early = rules.spelt_wrong(TYPED | changed, DROP)
        assert {(one.key, one.reason) for one in early} == {(one.key, one.reason) for one in caught.value.mistakes}
        assert rules.spelt_wrong({}, "no.such") == []

    def test_names_taken_twice(self) -> None:
        """By an input, by the answer, by a row above."""
        names = {"value-1-name": "current", "value-2-name": "size", "value-3-name": "answer", "show-1-name": "size"}
        found = rules.twice(TYPED | names | {"values": "3", "shows": "1"}, DROP)
        assert [row.prefix for row in found] == ["value-1-", "value-3-", "show-1-"]


class TestDraws:
    @pytest.mark.parametrize(
        ("lost", "different", "said"), [(200, 9, (False, False, True)), (201, 1, (True, True, True))]
    )
    def test_what_they_must_show(self, lost: int, different: int, said: tuple[bool, ...]) -> None:
        """At most half of the sets of values may be lost, and two questions at least must differ."""
        report = Report(draws=200, different=different, rejected={"zero": lost}, parts=())
        judged = (rules.loses_too_much(report), rules.never_differs(report), rules.differs_little(report))
        assert judged == said
