"""Questions read from tables, with every mistake told."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.training.questions.workbook import BOOK, CHAIN, DROP, ORDER, SEVERAL, SHOTS, spec, table
from training.content.mistakes import ContentErrors
from training.content.questions import read_question
from training.questions.specs import Ask, Kind, Level

Change = Callable[[dict[str, Any]], Any]


def refused(text: str, change: Change) -> list[str]:
    data = table(text)
    change(data)
    with pytest.raises(ContentErrors) as caught:
        read_question(data, book=BOOK)
    return [f"{mistake.key}: {mistake.reason}" for mistake in caught.value.mistakes]


def put(path: str, value: Any) -> Change:
    """Return a change that sets a value; None removes it."""

    def change(data: dict[str, Any]) -> None:
        *before, last = path.split("/")
        inner: Any = data
        for name in before:
            inner = inner[int(name) if name.isdigit() else name]
        if value is None:
            del inner[last]
        else:
            inner[last] = value

    return change


class TestReadQuestion:
    def test_reads_a_calculation(self) -> None:
        """Every field in its place."""
        question = spec(DROP, safety=True, anchor=True, enemies=["set:lead"])
        assert (question.kind, question.level, question.topic) == (Kind.CALCULATION, Level.APPLY, "setup")
        assert (question.safety, question.anchor, question.enemies, question.steps) == (
            True,
            True,
            ("set:lead",),
            ("setup.leads",),
        )
        assert [given.name for given in question.givens] == ["resistance", "current"]
        assert question.parts[0].answer is not None
        assert len(question.digest) == 64

    def test_reads_a_scenario(self) -> None:
        """Parts keep their order and their kinds."""
        assert [part.ask for part in spec(CHAIN).parts] == [Ask.NUMBER, Ask.NUMBER, Ask.ONE]

    @pytest.mark.parametrize(
        ("path", "value", "says"),
        [
            ("kind", "riddle", "kind: 'riddle' is not one of calculation, scenario"),
            ("key", "Two leads", "key: 'Two leads' may hold only"),
            ("colour", "red", "colour: is not a key known here"),
            ("given/current/choice", [200], "given.current.choice: needs at least two different values"),
            ("given/current/from", 1, "given.current: needs exactly one of from/to/step"),
            ("given/current/choice", None, "given.current: needs exactly one of from/to/step"),
            ("given/resistance/step", 0, "given.resistance.step: the step must be above 0"),
            ("given/resistance/step", "0.7", "given.resistance.to: is not reached"),
            ("given/resistance/step", "0.0001", "given.resistance.step: makes more than 10000 values"),
            ("given/current/unit", "amps", "given.current.unit: 'amps' is not a unit known here"),
            ("given/current/unit", "V", "inputs.current: 'drop' needs current and 'current' is in 'V'"),
            ("answer", None, "answer: is missing; write a table [answer]"),
            ("answer/unit", "A", "computation: 'drop' gives voltage, which 'A' does not measure"),
            ("answer/unit", "volt", "answer.unit: 'volt' is not a unit"),
            ("answer/round", "sideways", "answer.round: must be one of nearest, up, down"),
            ("answer/round", "up", "answer.decimals: must be 0 when the answer is rounded up"),
            ("answer/relative", None, "answer.relative: give a tolerance: a share (relative)"),
            ("answer/reason", None, "answer.reason: is missing; say why"),
            ("answer/relative", 1, "answer.relative: is as wide as the answer itself"),
            ("answer/ask", "guess", "answer.ask: must be number or options"),
            ("computation", "dorp", "computation: 'dorp' is not in the catalogue"),
            ("computation", "drop.half", "computation: 'drop.half' is a mistake, not a computation"),
            ("wrong/0/computation", "drop", "wrong[1].computation: 'drop' is not a known mistake"),
            ("wrong/0/computation", "drip", "wrong[1].computation: 'drip' is not in the catalogue"),
            ("wrong/0/computation", "lead.both", "wrong[1].computation: is a mistake of 'lead', not of 'drop'"),
            ("wrong/0/inputs", {"volt": "current"}, "wrong[1].inputs.volt: 'drop.half' takes no such input"),
            ("inputs", {"current": "amps"}, "inputs.current: 'amps' is no value given before this"),
            ("inputs", {"amps": "current"}, "inputs.amps: 'drop' takes no such input; it takes current, resistance"),
            ("prompt", "What of {volts}?", "prompt: {volts} names no value known here"),
            ("prompt", "What of {answer}?", "prompt: {answer} names no value known here"),
            ("working/lines", ["{power}"], "working.lines: {power} names no value"),
            ("working", None, "working.lines: is missing"),
            ("given/answer", {"constant": 1, "unit": "1"}, "name: 'answer' is used twice"),
            (
                "show",
                {"half": {"computation": "drip", "unit": "V", "decimals": 1}},
                "show.half.computation: 'drip' is not",
            ),
            (
                "show",
                {"half": {"computation": "drop", "unit": "Volt", "decimals": 1}},
                "show.half.unit: 'Volt' is not a unit",
            ),
            (
                "given/current/choice",
                [2000, 3000],
                "given: no usable values in 201 draws: 201 times a value lies outside",
            ),
        ],
    )
    def test_refuses_a_calculation_with_the_reason(self, path: str, value: Any, says: str) -> None:
        """Each mistake at its key, in a sentence."""
        assert any(line.startswith(says) or says in line for line in refused(DROP, put(path, value)))

    def test_refuses_a_tolerance_narrower_than_rounding(self) -> None:
        """Half of the last digit shown is the least a person needs."""

        def narrow(data: dict[str, Any]) -> None:
            data["answer"] |= {"absolute": "0.004", "relative": 0}

        assert "answer.absolute: is narrower than half the last digit" in refused(DROP, narrow)[0]

    def test_refuses_a_tolerance_on_a_count(self) -> None:
        """A counted number is right or wrong."""
        assert "answer.relative: must be left out" in refused(SHOTS, put("answer/relative", "0.02"))[0]

    def test_refuses_options_without_enough_wrong_answers(self) -> None:
        """One wrong answer is no choice."""

        def alone(data: dict[str, Any]) -> None:
            data["answer"]["ask"] = "options"
            data["wrong"].pop()

        assert refused(DROP, alone) == ["wrong: needs at least two wrong answers to make options of"]

    def test_refuses_a_derived_value_without_decimals_or_before_its_source(self) -> None:
        """It is rounded as shown before use, and uses only what stands above it."""
        derived = {"computation": "inverse", "unit": "1", "inputs": {"each": "later"}}
        given = {"early": derived, "later": {"constant": 2, "unit": "1"}}
        assert "given.early.decimals: is missing" in refused(DROP, put("given", {**given, **table(DROP)["given"]}))[0]
        derived["decimals"] = 1
        lines = refused(DROP, put("given", {**given, **table(DROP)["given"]}))
        assert lines == ["given.early.inputs.each: 'later' is no value given before this; 'inverse' needs it"]

    def test_refuses_a_pool_it_does_not_know(self) -> None:
        """The three that exist are named."""
        assert refused(DROP, put("pool", "exam")) == ["pool: 'exam' is not one of papers, practice, both"]

    def test_refuses_an_anchor_that_no_paper_draws(self) -> None:
        """An anchor stands on every paper, a practice question on none."""

        def anchored(data: dict[str, Any]) -> None:
            data |= {"anchor": True, "pool": "practice"}

        assert refused(SEVERAL, anchored) == [
            "anchor: cannot be set on a question of the practice pool; no paper draws it"
        ]

    def test_tells_all_mistakes_at_once(self) -> None:
        """Three in one run."""

        def three(data: dict[str, Any]) -> None:
            data["minutes"] = 0
            data["level"] = "hard"
            data["answer"]["decimals"] = -1

        assert len(refused(DROP, three)) == 3

    def test_keeps_a_hidden_unit_and_a_shared_working_value(self) -> None:
        """Options of the answer and of the working come through storage."""
        show = {"milli": {"computation": "drop", "unit": "mV", "decimals": 0, "inputs": {"current": "current"}}}
        question = spec(DROP, answer={**table(DROP)["answer"], "print_unit": False}, show=show)
        again = read_question(question.as_json(), book=BOOK)
        assert again == question
        assert again.parts[0].answer is not None
        assert not again.parts[0].answer.print_unit

    def test_takes_a_unit_of_a_temperature_difference_as_such(self) -> None:
        """A mean temperature is a point, a rise a difference; neither stands for the other."""
        given = {name: {"constant": value, "unit": "degC"} for name, value in (("first", 5), ("last", 25))}
        answer = {"unit": "K", "decimals": 0, "absolute": "0.5", "reason": "rounding"}
        facts: dict[str, Any] = {"prompt": "?", "given": given, "wrong": [], "working": {"lines": ["x"], "source": "y"}}
        assert spec(DROP, computation="rise", answer=answer, **facts)
        assert spec(DROP, computation="mean", answer={**answer, "unit": "degC"}, **facts)
        with pytest.raises(ContentErrors, match="gives temperature, which 'K' does not measure"):
            spec(DROP, computation="mean", answer=answer, **facts)


class TestScenario:
    @pytest.mark.parametrize(
        ("path", "value", "says"),
        [
            ("part", [], "part: needs at least two parts"),
            ("part/0/name", "Loop", "part[Loop].name: 'Loop' may hold only"),
            ("part/0/sane", None, "part[loop].sane: is missing; say between which values"),
            ("part/0/sane", {"from": 2, "to": 1}, "part[loop].sane.to: must be above 'from'"),
            ("part/0/carry", "full", "part[loop].carry: is set but this part uses no earlier part"),
            ("part/1/carry", "1.5", "part[drop].carry: must be from 0 to 1"),
            ("part/1/name", "loop", "is used twice"),
            (
                "part/1/inputs",
                {"resistance": "part:later"},
                "inputs.resistance: 'part:later' is no value given before this",
            ),
            ("part/1/prompt", "After {loop}?", "part[drop].prompt: {loop} names no value known here"),
            ("part/2/prompt", "After {drop}?", "part[act].prompt: {drop} names no value known here"),
        ],
    )
    def test_is_refused_with_the_reason(self, path: str, value: Any, says: str) -> None:
        """An earlier answer in a prompt would give it away."""
        assert any(says in line for line in refused(CHAIN, put(path, value)))

    def test_needs_no_sane_range_where_nothing_is_carried(self) -> None:
        """Without carry an earlier answer is only read."""
        parts = table(CHAIN)["part"]
        del parts[0]["sane"], parts[1]["carry"]
        assert spec(CHAIN, part=parts).parts[1].carry == 0


class TestChoice:
    @pytest.mark.parametrize(
        ("path", "value", "says"),
        [
            ("option", [{"text": "A", "right": True}, {"text": "B", "says": "b"}], "option: needs from three to nine"),
            ("option/0/right", False, "option[1].says: is missing; say in plain words"),
            ("option/0/unsafe", True, "option[1].unsafe: cannot be set on a right option"),
            ("option/1/text", "Earth clamp on bright steel", "option: holds the same text twice"),
            ("option/2/text", "Gun at {volts}", "option: {volts} names no value known here; the known ones are none"),
            ("option/2/says", "{volts}", "option: {volts} names no value"),
            ("computation", "drop", "computation: is not a key known here"),
        ],
    )
    def test_is_refused_with_the_reason(self, path: str, value: Any, says: str) -> None:
        """Each at its option."""
        assert any(line.startswith(says) for line in refused(SEVERAL, put(path, value)))

    def test_needs_one_right_option_where_one_is_asked_for(self) -> None:
        """Two right ones are several."""
        assert refused(SEVERAL, put("kind", "one")) == ["option: needs exactly one right option and has 2"]

    def test_needs_a_wrong_option_where_several_are_asked_for(self) -> None:
        """All right is no question."""
        options = [{"text": text, "right": True} for text in "ABC"]
        assert "needs at least one right and one wrong" in refused(SEVERAL, put("option", options))[0]

    @pytest.mark.parametrize(
        ("path", "value", "says"),
        [
            ("order", ["A", "B"], "order: needs from three to nine entries"),
            ("order", ["A", "{b}", "C", "D"], "order: {b} names no value"),
            ("order", None, "order: is missing"),
            ("before", [[2, 0]], "before: [2, 0] must be two places of the order"),
            ("before", [[0, 4]], "before: [0, 4] must be"),
            ("before", [[0]], "before: must be a list of pairs"),
            ("before", [["a", "b"]], "before: must be a list of pairs"),
            ("before", [3], "before: must be a list of pairs"),
            ("before", 3, "before: must be a list of pairs"),
        ],
    )
    def test_order_is_refused_with_the_reason(self, path: str, value: Any, says: str) -> None:
        """Places are counted from 0, the earlier one first."""
        assert any(line.startswith(says) for line in refused(ORDER, put(path, value)))
