"""Questions drawn into items."""

from collections import Counter
from decimal import Decimal
from fractions import Fraction

import pytest

from tests.training.questions.workbook import BOOK, CHAIN, DROP, ORDER, SEVERAL, SHOTS, spec, table
from training.content.mistakes import ContentErrors
from training.content.questions import read_question
from training.questions.draw import AuthoringError, draw, draw_counted
from training.questions.item import Item
from training.questions.rounding import exact, round_half_up
from training.questions.specs import AnswerSpec, Ask, GivenSpec, Kind, Level, PartSpec, QuestionSpec, WrongSpec, plain


def bare(
    computation: str = "inverse",
    *,
    given: str = "2",
    answer: AnswerSpec | None = None,
    wrong: tuple[str, ...] = (),
    givens: tuple[GivenSpec, ...] = (),
) -> QuestionSpec:
    """A question that the checks on content would refuse, to see the draw refuse it too."""
    part = PartSpec(
        name="answer",
        ask=Ask.NUMBER,
        computation=computation,
        answer=answer or AnswerSpec(unit="1", decimals=3, relative=Fraction("0.02")),
        wrong=tuple(WrongSpec(computation=name) for name in wrong),
    )
    return QuestionSpec(
        key="bare",
        version=1,
        kind=Kind.CALCULATION,
        topic="setup",
        level=Level.KNOW,
        prompt="?",
        minutes=1,
        givens=givens or (GivenSpec(name="each", unit="1", constant=Decimal(given)),),
        parts=(part,),
    )


class TestDraw:
    @pytest.mark.parametrize("text", [DROP, CHAIN, SHOTS, SEVERAL, ORDER])
    def test_gives_the_same_item_for_the_same_seed(self, text: str) -> None:
        """The seed explains the item; another seed gives another."""
        question = spec(text)
        assert draw(question, "s1", book=BOOK) == draw(question, "s1", book=BOOK)
        assert len({draw(question, seed, book=BOOK).digest for seed in range(8)}) > 4

    def test_fills_the_prompt_with_what_is_printed(self) -> None:
        """Values stand with their units, or as numbers where the text says so."""
        item = draw(spec(DROP), 1, book=BOOK)
        given = {one.name: one for one in item.givens}
        assert f"{given['resistance'].value}\N{NO-BREAK SPACE}mΩ" in item.prompt
        shots = draw(spec(SHOTS), 1, book=BOOK)
        assert shots.prompt.startswith(f"{shots.givens[0].value} packs give")

    @pytest.mark.parametrize("seed", range(20))
    def test_keeps_to_the_grid_with_the_digits_of_its_step(self, seed: int) -> None:
        """12.0, 12.5 ... 18.0: values an engineer would write."""
        value = draw(spec(DROP), seed, book=BOOK).givens[0].value
        assert value[-2:] in (".0", ".5")
        assert 12 <= float(value) <= 18

    def test_uses_a_derived_value_as_it_is_printed(self) -> None:
        """A person reaches the key from the sheet: the row is rounded before it is used."""
        given = table(SHOTS)["given"]
        given["half"] = {"computation": "inverse", "unit": "1", "decimals": 1, "inputs": {"each": "whole"}}
        given = {"packs": given["packs"], "whole": {"constant": 3, "unit": "1"}, "half": given["half"]}
        changed = spec(
            SHOTS, given=given, inputs={"each": "half"}, prompt="{half}", working={"lines": ["x"], "source": "y"}
        )
        item = draw(changed, 1, book=BOOK)
        assert item.givens[2].value == "0.3"
        assert item.parts[0].inputs["each"] == 0.3

    def test_prints_a_choice_as_its_author_wrote_it(self) -> None:
        """1.50 stays 1.50 and 200 stays 200; decimals, where given, decide."""
        row = GivenSpec(name="each", unit="1", choice=(Decimal("1.50"), Decimal("1.50")))
        assert draw(bare(givens=(row,)), 1, book=BOOK).givens[0].value == "1.50"
        row = GivenSpec(name="each", unit="1", constant=Decimal("2e1"))
        assert draw(bare(givens=(row,)), 1, book=BOOK).givens[0].value == "20"
        row = GivenSpec(name="each", unit="1", constant=Decimal(2), decimals=2)
        assert draw(bare(givens=(row,)), 1, book=BOOK).givens[0].value == "2.00"

    def test_recomputes_from_what_is_printed(self) -> None:
        """The key follows from the printed values by the named computation (Ohm's law by hand)."""
        for seed in range(30):
            item = draw(spec(DROP), seed, book=BOOK)
            ohms, amperes = (Fraction(given.value) for given in item.givens)
            assert item.parts[0].value == ohms / 1000 * amperes
            assert item.parts[0].shown == f"{float(round_half_up(item.parts[0].value, 2)):.2f}"

    def test_writes_the_working_with_earlier_answers(self) -> None:
        """Working names givens, shows, the answer and earlier parts; the prompt may not."""
        loop, drop, _ = draw(spec(CHAIN), 1, book=BOOK).parts
        assert f"{loop.shown}\N{NO-BREAK SPACE}mΩ" in drop.working[0]
        assert drop.working[0].endswith("\N{NO-BREAK SPACE}mV")

    def test_counts_down_to_a_whole_key(self) -> None:
        """Shots are counted down, and only the number itself is right."""
        part = draw(spec(SHOTS), 4, book=BOOK).parts[0]
        packs, each = (Fraction(value) for value in (part.inputs["packs"], exact(part.inputs["each"])))  # type: ignore[arg-type]
        assert part.exact
        assert part.value == packs * each // 1

    def test_hides_the_right_order_behind_the_ids(self) -> None:
        """Ids follow the printed order, so over many draws the first line written is not always 'a'."""
        items = [draw(spec(ORDER), seed, book=BOOK).parts[0] for seed in range(30)]
        assert len({part.order for part in items}) > 10
        assert all([name for name, _ in part.options] == ["a", "b", "c", "d"] for part in items)
        assert all(dict(part.options)[part.before[0][0]] == "Isolate" for part in items)

    def test_leaves_a_fixed_option_in_its_place(self) -> None:
        """'None of these' stays last."""
        parts = [draw(spec(CHAIN), seed, book=BOOK).parts[2] for seed in range(10)]
        assert {part.options[2][1] for part in parts} == {"None of these"}
        assert {dict(part.options)[part.right[0]].split("\N{NO-BREAK SPACE}")[0] for part in parts} == {"Use it at 240"}


class TestOptionsFromNumbers:
    def test_stand_in_the_order_of_their_size(self) -> None:
        """A ladder of numbers is not shuffled; the mistakes keep their words."""
        answer = {**table(DROP)["answer"], "ask": "options"}
        part = draw(spec(DROP, answer=answer), 1, book=BOOK).parts[0]
        assert (part.ask, part.hint) == (Ask.ONE, "")
        assert [text.split("\N{NO-BREAK SPACE}")[0] for _, text in part.options] == sorted(
            (part.shown, *(wrong.shown for wrong in part.wrong)), key=float
        )
        assert dict(part.options)[part.right[0]].startswith(part.shown)
        assert set(part.option_says.values()) == {"You left out the return lead.", "You divided."}


class TestDrawCounted:
    def test_counts_what_it_rejects(self) -> None:
        """Values of one part in three give a wrong answer inside the tolerance and are drawn again."""
        row = GivenSpec(name="each", unit="1", choice=(Decimal(0), Decimal(2), Decimal(4)))
        drawn = [draw_counted(bare(givens=(row,)), seed, book=BOOK) for seed in range(30)]
        total = sum((one.rejected for one in drawn), Counter[str]())
        assert set(total) == {"undefined"}
        assert {one.item.givens[0].value for one in drawn} == {"2", "4"}

    @pytest.mark.parametrize(
        ("question", "reason"),
        [
            (bare(given="0"), "outside the range"),
            (bare("endless"), "outside the range"),
            (bare(given="5000"), "rounds to 0"),
            (bare(answer=AnswerSpec(unit="1", decimals=1, relative=Fraction("0.001"))), "narrower than half"),
            (bare(answer=AnswerSpec(unit="1", decimals=3, absolute=Fraction(1))), "as wide as the answer"),
            (bare(wrong=("inverse",)), "print the same"),
            (bare("shots", givens=(GivenSpec(name="packs", unit="1", constant=Decimal("1.5")),)), "must be whole"),
        ],
    )
    def test_gives_up_with_the_reason(self, question: QuestionSpec, reason: str) -> None:
        """More than 200 unusable draws are the author's mistake, and the message says which."""
        with pytest.raises(AuthoringError, match=f"in 201 draws: 201 times .*{reason}"):
            draw(question, 1, book=BOOK)

    def test_rejects_a_wrong_answer_inside_the_tolerance(self) -> None:
        """Half of the key lies inside a tolerance of six tenths."""
        answer = {**table(DROP)["answer"], "relative": "0.6"}
        with pytest.raises(ContentErrors, match="a wrong answer lies inside the tolerance"):
            spec(DROP, answer=answer)

    def test_rejects_options_closer_than_five_per_cent(self) -> None:
        """9 and 9 + 2 are apart, 60 and 62 are not."""
        answer = {**table(SHOTS)["answer"], "ask": "options"}
        wrong = [{"computation": "shots.more"}, {"computation": "shots.more", "inputs": {"each": "far"}}]
        given = {**table(SHOTS)["given"], "far": {"constant": 200, "unit": "1"}}
        assert spec(SHOTS, answer=answer, wrong=wrong, given=given)
        given["each"] = {"from": 50, "to": 60, "step": 1, "unit": "1"}
        with pytest.raises(ContentErrors, match="closer than 5 per cent"):
            spec(SHOTS, answer=answer, wrong=wrong, given=given)

    def test_rejects_an_option_that_gives_itself_away_by_its_sign(self) -> None:
        """A negative number of shots is no option."""
        answer = {**table(SHOTS)["answer"], "ask": "options"}
        wrong = [{"computation": "shots.more"}, {"computation": "shots.more", "inputs": {"each": "less"}}]
        given = {**table(SHOTS)["given"], "less": {"constant": -9, "unit": "1"}}
        with pytest.raises(ContentErrors, match="by its sign"):
            spec(SHOTS, answer=answer, wrong=wrong, given=given)

    def test_rejects_a_chain_that_the_printed_answer_does_not_lead_through(self) -> None:
        """With the first answer rounded to whole milliohms, the second is out of reach."""
        parts = table(CHAIN)["part"]
        parts[0]["answer"] |= {"decimals": 0, "relative": "0.2"}
        parts[1]["answer"] |= {"decimals": 3, "relative": "0.001"}
        given = {**table(CHAIN)["given"], "length": {"constant": 8, "unit": "m"}}
        with pytest.raises(ContentErrors, match="not reached from the earlier answer as shown"):
            spec(CHAIN, part=parts, given=given)


class TestItem:
    @pytest.mark.parametrize("text", [DROP, CHAIN, SHOTS, SEVERAL, ORDER])
    def test_comes_back_from_its_two_sides(self, text: str) -> None:
        """A sitting stores both as JSON and restores the same item, digest and all."""
        item = draw(spec(text), 5, book=BOOK)
        again = Item.from_json(item.shown(), item.key())
        assert again == item
        assert again.digest == item.digest
        assert len(item.digest) == 64

    @pytest.mark.parametrize("text", [DROP, CHAIN, SHOTS])
    def test_shows_the_browser_no_key(self, text: str) -> None:
        """What is shown holds no answer, no misconception and no working."""
        item = draw(spec(text), 5, book=BOOK)
        shown = str(item.shown())
        for part in item.parts:
            assert part.ask is not Ask.NUMBER or part.shown not in [given.value for given in item.givens]
            hidden = [
                *part.working,
                *(wrong.says for wrong in part.wrong),
                *(wrong.misconception for wrong in part.wrong),
            ]
            assert not [text for text in hidden if text in shown]
            side = {"name", "prompt", "answer", "unit", "decimals", "round", "options"}
            assert set(part.as_shown()) == side
            assert part.ask is not Ask.NUMBER or f"{part.shown}\N{NO-BREAK SPACE}" not in shown

    def test_changes_its_digest_with_either_side(self) -> None:
        """The fingerprint covers what is shown and the key."""
        item = draw(spec(DROP), 5, book=BOOK)
        key = item.key()
        key["parts"][0]["relative"] = "1/40"
        assert Item.from_json(item.shown(), key).digest != item.digest
        assert Item.from_json({**item.shown(), "prompt": "?"}, item.key()).digest != item.digest

    def test_matches_its_golden_digest(self) -> None:
        """A change of stream, rounding or shape shows here, before it shows in stored sittings."""
        golden = {
            text: draw(spec(text), "golden", book=BOOK).digest[:16] for text in (DROP, CHAIN, SHOTS, SEVERAL, ORDER)
        }
        assert list(golden.values()) == GOLDEN


GOLDEN = ["0c94e9f2390ae29a", "a6afec2c6917f9f0", "47403323d3b2e2ef", "a2d91ae7f73e7287", "b733c571dbfe98ab"]


class TestQuestionSpec:
    @pytest.mark.parametrize("text", [DROP, CHAIN, SHOTS, SEVERAL, ORDER])
    def test_comes_back_from_json(self, text: str) -> None:
        """A stored question is read with the same checks and is the same question."""
        question = spec(text)
        assert read_question(question.as_json(), book=BOOK) == question
        assert read_question(question.as_json(), book=BOOK).digest == question.digest

    def test_writes_numbers_as_their_author_would(self) -> None:
        """Digits where they end, a fraction where they do not."""
        assert [plain(Fraction(value)) for value in ("0.020", "12", "1/3", "-0.5")] == ["0.02", "12", "1/3", "-0.5"]
