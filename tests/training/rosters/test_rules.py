"""Lines read and compared with who is on record; nothing here knows a database."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.rosters import rules
from training.rosters.rules import Change, Column, Flaw, Kept, Known, NoHeads, Register, Request, Spell
from training.rosters.rules.usernames import proposed
from training.tables.rules import Row

ON = date(2026, 11, 25)
YESTERDAY, TOMORROW = ON - timedelta(days=1), ON + timedelta(days=1)
LONG_AGO = date(2020, 1, 1)
CREWS = {"Gang 1": 1, "Gang 2": 2, "Gäng 3": 3}
ALL = rules.heads([rules.head_of(column) for column in Column])


def is_mail(text: str) -> bool:
    return "@" in text


def read(*cells: str, heads: rules.Heads = ALL) -> tuple[rules.Line, list[tuple[Column | None, Flaw, str]]]:
    line, wrong = rules.line_of(Row(7, cells), heads, is_mail=is_mail)
    assert all(one.line == 7 for one in wrong)
    return line, [(one.column, one.flaw, one.about) for one in wrong]


def known(pk: int, name: str, *crews: int, begun: date = LONG_AGO, until: date | None = None, **facts: object) -> Known:
    times = [Spell(Kept.ROLE, pk * 10, 0, begun, until)]
    times += [Spell(Kept.CREW, pk * 100 + crew, crew, begun, until) for crew in crews]
    return Known(pk, name, f"user{pk}", **({"spells": tuple(times)} | facts))


def planned(people: list[Known], *lines: dict[str, object], **asked: object) -> rules.Plan:
    made = [rules.Line(at, **facts) for at, facts in enumerate(lines, start=2)]
    usernames = frozenset({one.username for one in people} | {"elsewhere"})
    return rules.plan(Request(made, ON, **asked), Register(tuple(people), CREWS, usernames, {1: "North yard"}))


def only(plan: rules.Plan) -> Change:
    assert (plan.wrong, plan.questions) == ((), ())
    (change,) = plan.changes
    return change


def flaws(plan: rules.Plan) -> list[tuple[int, Column | None, Flaw]]:
    assert not plan.ready
    return [(one.line, one.column, one.flaw) for one in plan.wrong]


class TestHeads:
    def test_stand_in_any_order_and_spelling(self) -> None:
        found = rules.heads(["gang", "Shoe size", "", "FULL  NAME", "e-Mail"])
        assert found.places == {Column.CREW: 0, Column.NAME: 3, Column.EMAIL: 4}
        assert found.unread == ("Shoe size",)

    @pytest.mark.parametrize(("cells", "twice"), [(["Crew"], ""), (["Name", "Full name"], "Full name")])
    def test_must_say_which_column_is_which(self, cells: list[str], twice: str) -> None:
        with pytest.raises(NoHeads) as refused:
            rules.heads(cells)
        assert refused.value.twice == twice


class TestLine:
    def test_is_read(self) -> None:
        """A short row ends in empty cells; an apostrophe marks a text that looks like a formula."""
        line, wrong = read(
            "17", " Ada\u00a0 Crew ", "ada", "ada@example.org", 'Gang 1; "Gang; 2"; Gang 1', "Yard", "2026-04-03"
        )
        assert wrong == []
        assert line == rules.Line(
            7, "Ada Crew", "17", "ada", "ada@example.org", ("Gang 1", "Gang; 2"), "Yard", date(2026, 4, 3)
        )
        assert read("", "'-Ada")[0] == rules.Line(7, "-Ada")

    @pytest.mark.parametrize(
        ("composed", "decomposed"),
        # UAX #15, figures 3 to 5, and Hangul: letters with marks, signs of units, two marks.
        [
            ("\u00c5", "A\u030a"),
            ("\u00f4", "o\u0302"),
            ("\u00c5", "\u212b"),
            ("\u03a9", "\u2126"),
            ("\u1e69", "s\u0323\u0307"),
            ("\uac00", "\u1100\u1161"),
        ],
    )
    def test_composes_letters(self, composed: str, decomposed: str) -> None:
        """UAX #15: a name is the same however its letters were put together."""
        assert read("", f"A {decomposed}")[0].name == f"A {composed}"

    @pytest.mark.parametrize(
        "name", ["نادية حسن", "יעל כהן", "山田 太郎", "김 민수", "Łukasz Żak", "Zoë O'Hara-Nuñez", "می‌خواهم"]
    )
    def test_takes_every_script(self, name: str) -> None:
        """The last one needs its joiner of no width (UAX #31, 2.3)."""
        line, wrong = read("", name)
        assert (line.name, wrong) == (name, [])

    @pytest.mark.parametrize(
        ("cells", "column", "flaw", "about"),
        [
            (["17", ""], Column.NAME, Flaw.NO_NAME, ""),
            (["17", "..."], Column.NAME, Flaw.NO_NAME, ""),
            (["", "=1+1"], Column.NAME, Flaw.FORMULA, "="),
            (["", " +1"], Column.NAME, Flaw.FORMULA, "+"),
            (["-17", "Ada"], Column.NUMBER, Flaw.FORMULA, "-"),
            (["", "Ada", "", "", "@SUM(A1)"], Column.CREW, Flaw.FORMULA, "@"),
            (["", "Ada", "", "", "", "＝1"], Column.SITE, Flaw.FORMULA, "＝"),
            (["", "A\x07da"], Column.NAME, Flaw.UNSEEN, "U+0007"),
            (["", "A\0da"], Column.NAME, Flaw.UNSEEN, "U+0000"),
            (["", "A\ud800da"], Column.NAME, Flaw.UNSEEN, "U+D800"),
            (["", "\u202eadA"], Column.NAME, Flaw.UNSEEN, "U+202E"),
            (["", "A\u200bda"], Column.NAME, Flaw.UNSEEN, "U+200B"),
            (["", "Zo\ufffd"], Column.NAME, Flaw.UNSEEN, "U+FFFD"),
            (["", "a" * 121], Column.NAME, Flaw.LONG, "120"),
            (["", "Ada", "Ada!"], Column.USERNAME, Flaw.USERNAME, "Ada!"),
            (["", "Ada", "", "ada"], Column.EMAIL, Flaw.EMAIL, "ada"),
            (["", "Ada", "", "", "", "", "03/04/2026"], Column.LAST_DAY, Flaw.DAY, "03/04/2026"),
            (["", "Ada", "", "", "", "", "2026-02-30"], Column.LAST_DAY, Flaw.DAY, "2026-02-30"),
            (["", "Ada", "", "", "", "", "20260403"], Column.LAST_DAY, Flaw.DAY, "20260403"),
            (["", "Ada", "", "", "", "", "", "more"], None, Flaw.MORE_CELLS, ""),
        ],
    )
    def test_names_what_is_wrong(self, cells: list[str], column: Column | None, flaw: Flaw, about: str) -> None:
        assert read(*cells)[1] == [(column, flaw, about)]

    def test_names_everything_that_is_wrong(self) -> None:
        assert [flaw for _column, flaw, _about in read("=1", "", "A", "x", "", "", "x")[1]] == [
            Flaw.NO_NAME, Flaw.USERNAME, Flaw.EMAIL, Flaw.DAY, Flaw.FORMULA,
        ]  # fmt: skip

    @given(st.lists(st.text(st.characters()), max_size=8))
    def test_never_breaks(self, cells: list[str]) -> None:
        """Whatever is in the cells, surrogates and NUL among it: what is kept can be stored anywhere."""
        line, wrong = read(*cells)
        for text in (line.name, line.number, line.username, line.email, *(line.crews or ())):
            assert "\0" not in text
            text.encode()
        assert wrong or line.name


class TestNewPeople:
    def test_get_a_user_name(self) -> None:
        change = only(planned([], {"name": "Ada Crew", "number": "17", "crews": ("gang 1", "GANG 3")}))
        assert change == Change(2, None, "Ada Crew", "17", "", username="a.crew", joins=(1, 3), gives_role=True)

    @pytest.mark.parametrize(
        ("name", "username"),
        [("Zoë O'Hara", "z.ohara"), ("Łukasz", "lukasz"), ("山田 太郎", "crew"), ("Ada " + "b" * 90, "a." + "b" * 38)],
    )
    def test_get_plain_letters_for_it(self, name: str, username: str) -> None:
        assert proposed(name, ()) == username
        assert proposed(name, {username, f"{username}2"}) == f"{username}3"

    def test_get_different_ones(self) -> None:
        plan = planned([], {"name": "Ada Crew"}, {"name": "Ann Crew"}, {"name": "Al", "username": "a.crew2"})
        assert [change.username for change in plan.changes] == ["a.crew", "a.crew3", "a.crew2"]

    def test_may_have_a_last_day_to_come(self) -> None:
        assert only(planned([], {"name": "Ada", "last_day": TOMORROW})).until_on == TOMORROW
        assert flaws(planned([], {"name": "Ada", "last_day": YESTERDAY})) == [(2, Column.LAST_DAY, Flaw.PAST)]

    @pytest.mark.parametrize("crews", [("Gang 9",), ("Gang 1", "none"), ("none", "Gang 9")])
    def test_go_into_crews_that_there_are(self, crews: tuple[str, ...]) -> None:
        assert flaws(planned([], {"name": "Ada", "crews": crews})) == [(2, Column.CREW, Flaw.CREW)]

    def test_name_the_site_of_their_crew_if_any(self) -> None:
        """A slip in one of the two is found."""
        line = {"name": "Ada", "crews": ("Gang 1",)}
        assert only(planned([], line | {"site": "north yard"})).joins == (1,)
        assert flaws(planned([], line | {"site": "South yard"})) == [(2, Column.SITE, Flaw.SITE)]

    def test_take_no_user_name_of_others(self) -> None:
        plan = planned([], {"name": "Ada", "username": "elsewhere"})
        assert flaws(plan) == [(2, Column.USERNAME, Flaw.USERNAME_TAKEN)]

    def test_of_one_name_need_numbers(self) -> None:
        """Two of a name in one crew are told apart by the employer's number."""
        ada = {"name": "Ada Crew", "crews": ("Gang 1",)}
        assert flaws(planned([], ada, ada)) == [
            (2, Column.NUMBER, Flaw.NAMESAKE),
            (3, Column.NUMBER, Flaw.NAMESAKE),
        ]
        both = planned([], ada | {"number": "1"}, ada | {"number": "2"})
        assert [change.number for change in both.changes] == ["1", "2"]

    @pytest.mark.parametrize(
        ("fact", "flaw"),
        [({"number": "1"}, Flaw.NUMBER_TWICE), ({"username": "x"}, Flaw.USERNAME_TWICE)],
    )
    def test_have_their_own_number_and_user_name(self, fact: dict[str, str], flaw: Flaw) -> None:
        plan = planned([], {"name": "Ada"} | fact, {"name": "Ben"} | fact)
        assert [(one.line, one.flaw, one.about) for one in plan.wrong] == [(3, flaw, "2")]


class TestKnownPeople:
    def test_stay_as_they_are(self) -> None:
        """By number, by user name or by name; empty cells change nothing."""
        people = [known(1, "Ada Crew", 1, number="17", email="a@b.c"), known(2, "Ben  Crew", 1, 2)]
        plan = planned(
            people,
            {"name": "Ada Crew", "number": "17", "crews": ("Gang 1",)},
            {"name": "Ben Crew", "username": "user2", "crews": ("Gang 2", "Gang 1")},
        )
        assert (plan.changes, plan.unchanged, plan.wrong, plan.ready) == ((), 2, (), False)
        assert planned(people, {"name": "Ada Crew"}).unchanged == 1

    def test_change_crews(self) -> None:
        """The time before ends yesterday; one that began today, today."""
        change = only(planned([known(1, "Ada", 1)], {"name": "Ada", "crews": ("Gang 2",)}))
        assert (change.joins, change.ends, change.moves) == ((2,), ((Kept.CREW, 101, YESTERDAY),), True)
        today = only(planned([known(1, "Ada", 1, begun=ON)], {"name": "Ada", "crews": ("none",)}))
        assert (today.joins, today.ends) == ((), ((Kept.CREW, 101, ON),))

    def test_go_back_into_a_crew_left_today(self) -> None:
        spells = (Spell(Kept.ROLE, 1, 0, LONG_AGO, None), Spell(Kept.CREW, 2, 1, ON, ON))
        change = only(planned([known(1, "Ada", spells=spells)], {"name": "Ada", "crews": ("Gang 1",)}))
        assert (change.joins, change.extends) == ((), ((Kept.CREW, 2),))

    def test_with_a_planned_change_are_left_to_hand(self) -> None:
        spells = (Spell(Kept.ROLE, 1, 0, LONG_AGO, None), Spell(Kept.CREW, 2, 1, TOMORROW, None))
        plan = planned([known(1, "Ada", spells=spells)], {"name": "Ada", "crews": ("Gang 2",)})
        assert flaws(plan) == [(2, Column.CREW, Flaw.PLANNED)]

    def test_change_names_numbers_and_mail(self) -> None:
        people = [known(1, "Ada Crew", number="17", email="a@b.c")]
        change = only(planned(people, {"name": "Ada Smith", "number": "17", "email": "s@b.c"}))
        assert (change.name, change.number, change.email, change.person) == ("Ada Smith", None, "s@b.c", 1)
        renumbered = only(planned(people, {"name": "Ada Crew", "number": "18", "username": "user1"}))
        assert (renumbered.name, renumbered.number) == (None, "18")
        assert only(planned([known(1, "Ada")], {"name": "Ada", "number": "3"})).number == "3"

    def test_with_roles_kept_elsewhere_are_not_changed(self) -> None:
        people = [known(1, "Ada", number="1", other_role=True, kept=False)]
        assert flaws(planned(people, {"name": "Ada", "email": "x@y.z"})) == [(2, None, Flaw.NOT_KEPT)]
        assert planned(people, {"name": "Ada", "number": "1"}).unchanged == 1

    def test_keep_their_user_name(self) -> None:
        plan = planned([known(1, "Ada")], {"name": "Ada", "username": "other"}, answers={2: 1})
        assert flaws(plan) == [(2, Column.USERNAME, Flaw.USERNAME_OTHER)]

    def test_are_one_person_a_line(self) -> None:
        people = [known(1, "Ada", number="17"), known(2, "Ben")]
        plan = planned(people, {"name": "Ada", "number": "17"}, {"name": "Ada", "username": "user1"})
        assert [(one.line, one.flaw, one.about) for one in plan.wrong] == [(3, Flaw.TWICE, "2")]
        mixed = planned(people, {"name": "Ada", "number": "17", "username": "user2"})
        assert flaws(mixed) == [(2, Column.USERNAME, Flaw.TWO_PEOPLE)]

    def test_of_one_name_are_not_guessed(self) -> None:
        people = [known(1, "Ada", number="1"), known(2, "Ada", number="2")]
        assert flaws(planned(people, {"name": "Ada"})) == [(2, Column.NUMBER, Flaw.NAMESAKE)]
        assert only(planned(people, {"name": "Ada", "number": "3"})).person is None


class TestQuestions:
    @pytest.mark.parametrize("name", ["Zoe Crew", "zoë crew", "Zoë-Crew"])
    def test_are_asked_about_nearly_the_same_name(self, name: str) -> None:
        """Accents, capitals and hyphens alone: one person, or two?"""
        people = [known(1, "Zoë Crew")]
        asked = planned(people, {"name": name})
        assert [(one.line.line, one.people, one.may_be_new) for one in asked.questions] == [(2, (people[0],), True)]
        assert not asked.ready
        assert only(planned(people, {"name": name}, answers={2: 1})).name == name
        assert only(planned(people, {"name": name}, answers={2: 0})).person is None
        assert planned(people, {"name": name}, answers={2: 99}).questions

    def test_are_asked_where_a_number_is_somebody_of_another_name(self) -> None:
        """A number given out again must not hand one person's records to another."""
        people = [known(1, "Ada Crew", number="17")]
        (question,) = planned(people, {"name": "Bert Lund", "number": "17"}).questions
        assert not question.may_be_new
        assert planned(people, {"name": "Bert Lund", "number": "17"}, answers={2: 0}).questions
        assert only(planned(people, {"name": "Bert Lund", "number": "17"}, answers={2: 1})).name == "Bert Lund"

    def test_are_asked_where_two_lines_could_be_one_known(self) -> None:
        people = [known(1, "Ada")]
        lines = [{"name": "Ada", "number": "1"}, {"name": "Ada", "number": "2"}]
        assert len(planned(people, *lines).questions) == 2
        plan = planned(people, *lines, answers={2: 1, 3: 0})
        assert [(change.person, change.number) for change in plan.changes] == [(1, "1"), (None, "2")]
        assert [one.flaw for one in planned(people, *lines, answers={2: 1, 3: 1}).wrong] == [Flaw.TWICE]

    def test_do_not_offer_a_second_of_a_name_without_a_number(self) -> None:
        (first, second) = planned([known(1, "Ada")], {"name": "Ada"}, {"name": "Ada"}).questions
        assert not first.may_be_new
        assert not second.may_be_new


class TestLeaving:
    def test_ends_with_the_last_day(self) -> None:
        change = only(planned([known(1, "Ada", 1)], {"name": "Ada", "last_day": TOMORROW, "crews": ("Gang 2",)}))
        assert change.ends == ((Kept.ROLE, 10, TOMORROW), (Kept.CREW, 101, TOMORROW))
        assert (change.joins, change.closes, change.leaves, change.moves) == ((), False, True, False)
        past = only(planned([known(1, "Ada")], {"name": "Ada", "last_day": YESTERDAY}))
        assert (past.ends, past.closes) == (((Kept.ROLE, 10, YESTERDAY),), True)

    def test_closes_the_account_once_the_day_is_past(self) -> None:
        people = [known(1, "Ada", until=YESTERDAY, spells=())]
        assert only(planned(people, {"name": "Ada", "last_day": YESTERDAY})).closes

    def test_again_changes_nothing(self) -> None:
        line = {"name": "Ada", "last_day": YESTERDAY}
        assert planned([known(1, "Ada", begun=ON, until=ON, is_active=False)], line).unchanged == 1
        assert planned([known(1, "Ada", until=TOMORROW)], {"name": "Ada", "last_day": TOMORROW}).unchanged == 1

    def test_does_not_rewrite_the_past(self) -> None:
        plan = planned([known(1, "Ada")], {"name": "Ada", "last_day": ON - timedelta(days=2)})
        assert flaws(plan) == [(2, Column.LAST_DAY, Flaw.PAST)]

    @pytest.mark.parametrize(
        ("facts", "flaw"),
        [({"other_role": True}, Flaw.OTHER_ROLE), ({"begun": TOMORROW}, Flaw.PLANNED)],
    )
    def test_is_left_to_hand(self, facts: dict[str, object], flaw: Flaw) -> None:
        plan = planned([known(1, "Ada", **facts)], {"name": "Ada", "last_day": YESTERDAY})
        assert flaws(plan) == [(2, Column.LAST_DAY, flaw)]

    def test_follows_from_missing_in_a_file_of_everyone(self) -> None:
        """Nobody with more than a crew member's role, nobody asked about, nobody gone already."""
        people = [
            known(1, "Ada", 1),
            known(2, "Ben"),
            known(3, "Cid", other_role=True),
            known(4, "Dee", kept=False),
            known(5, "Eve", spells=(), is_active=False),
            known(6, "Fé"),
        ]
        lines = [{"name": "Ada"}, {"name": "Fe"}]
        plan = planned(people, *lines, is_everyone=True)
        assert [(change.line, change.person, change.closes) for change in plan.changes] == [(0, 2, True)]
        assert [one.name for one in plan.untouched] == ["Cid", "Dee"]
        assert planned(people, *lines).changes == ()

    def test_waits_until_every_line_is_right(self) -> None:
        """Whoever stands in a wrong line would be taken for missing."""
        plan = planned([known(1, "Ada")], {"name": "Bo", "crews": ("x",)}, is_everyone=True)
        assert plan.changes == ()

    def test_may_be_taken_back(self) -> None:
        """Whoever stands in the file again is a crew member again: from today, or on from today."""
        gone = known(1, "Ada", spells=(), is_active=False)
        back = only(planned([gone], {"name": "Ada", "crews": ("Gang 1",)}))
        assert (back.reopens, back.gives_role, back.joins, back.returns, back.moves) == (True, True, (1,), True, False)
        today = only(planned([known(1, "Ada", 1, begun=ON, until=ON)], {"name": "Ada", "crews": ("Gang 1",)}))
        assert (today.extends, today.gives_role, today.reopens) == (((Kept.ROLE, 10), (Kept.CREW, 101)), False, False)

    def test_by_hand_is_not_undone_by_a_file(self) -> None:
        """An account closed while its roles go on was closed for a reason."""
        assert planned([known(1, "Ada", is_active=False)], {"name": "Ada"}).unchanged == 1


class TestKnown:
    def test_has_a_last_day_once_all_ends(self) -> None:
        assert known(1, "Ada", 1, until=TOMORROW).last_day(ON) == TOMORROW
        assert known(1, "Ada", 1, until=TOMORROW, other_role=True).last_day(ON) is None
        assert known(1, "Ada", 1).last_day(ON) is None
        assert known(1, "Ada", spells=()).last_day(ON) is None
