"""Mail over a real server on this machine: to whom, once, in which words; and what an outage leaves to do."""

from datetime import date, datetime, timedelta
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from pytest_django import Settings

from certs.cards import operations as acts
from certs.cards.models import Card
from certs.cards.rules import Step
from certs.notices import queries
from certs.notices.models import Notice
from certs.notices.operations import write_notices
from certs.notices.queries import letters
from tests.cast import ON, Cast
from tests.certs import factory
from tests.mailbox import Box
from training.people.models import Person

END = date(2029, 11, 24)
DAY = timedelta(days=1)


@pytest.fixture
def card(cast: Cast) -> Card:
    """Ada's card, told about long ago; work confirmed to the end."""
    made = factory.card(cast, cast.ada, on=ON, confirm_months=40)
    factory.card(cast, cast.quin, on=ON, confirm_months=40)
    return made


def run(on: date, *arguments: str) -> str:
    out = StringIO()
    with time_machine.travel(factory.noon(on), tick=False):
        call_command("send_reminders", *arguments, stdout=out)
    return out.getvalue()


class TestLastDay:
    def test_is_told_to_holder_and_supervisor_at_each_step_once(self, cast: Cast, card: Card, box: Box) -> None:
        """Run on every day from 91 days before to the day after: four mails each."""
        days = {91: 0, 90: 1, 89: 1, 61: 1, 60: 2, 31: 2, 30: 3, 8: 3, 7: 4, 1: 4, 0: 4, -1: 4}
        for before, mails in days.items():
            run(END - timedelta(days=before))
            run(END - timedelta(days=before))
            assert (len(box.to(cast.ada)), len(box.to(cast.sol))) == (mails, mails), before
        assert (
            f"{card.number}: the last day is 24 Nov 2029. It can be renewed from 24 May 2029 on." in box.to(cast.ada)[0]
        )
        assert f"https://cards.example.org/cards/{card.number}/" in box.to(cast.ada)[0]
        assert "Ada Crew, Bonds by pin brazing" in box.to(cast.sol)[0]
        assert "Quin" not in box.to(cast.sol)[0]
        assert box.to(cast.ben) == []

    def test_is_told_once_after_an_outage(self, cast: Cast, card: Card, box: Box) -> None:
        """Nothing ran from 100 to 20 days before: one mail, of the step that holds, and not three."""
        run(END - timedelta(days=20))
        assert len(box.to(cast.ada)) == 1
        assert list(Notice.objects.filter(person=cast.ada).values_list("kind", "number")) == [("last day", 30)]

    def test_is_one_mail_for_many_cards(self, cast: Cast, card: Card, box: Box) -> None:
        """A supervisor of a crew gets a list."""
        factory.card(cast, cast.ben, on=ON, confirm_months=40)
        run(END - timedelta(days=60))
        (one,) = box.to(cast.sol)
        assert "Ada Crew" in one
        assert "Ben Crew" in one

    def test_says_nothing_of_a_renewed_card(self, cast: Cast, card: Card, box: Box) -> None:
        """Only of the new one: issued."""
        renewed = END - timedelta(days=70)
        factory.card(cast, cast.ada, on=renewed, confirm_months=40)
        run(renewed + 10 * DAY)
        (one,) = box.to(cast.ada)
        assert "issued, valid from" in one
        assert "replaced on" in one
        assert "the last day is" not in one
        assert box.to(cast.sol) == []


class TestWork:
    def test_is_asked_for_and_its_lack_told(self, cast: Cast, box: Box) -> None:
        """Due 25 May 2027: 30 and 7 days ahead, and the day after."""
        factory.card(cast, cast.ada, on=ON)
        due = date(2027, 5, 25)
        for before in (31, 30, 29, 7, 6, 0, -1, -2, -14):
            run(due - timedelta(days=before))
        said = box.to(cast.sol)
        assert len(said) == 3
        assert "work is to be confirmed by 25 May 2027. Otherwise there is no work under this card" in said[0]
        assert "work was to be confirmed by 25 May 2027 and was not" in said[2]
        assert len(box.to(cast.ada)) == 3


class TestActs:
    def measure(self, card: Card, cast: Cast, step: Step, at: datetime) -> None:
        acts.measure(card=card, step=step, by=cast.max, reason="A film shows it", on=at.date(), at=at)

    def test_are_told_with_day_reason_and_by_whom(self, cast: Cast, card: Card, box: Box) -> None:
        """Suspended and reinstated on one day are two things; who sends the holder out has to know of both."""
        at = factory.noon(date(2028, 1, 5)) - timedelta(hours=1)
        for step in (Step.SUSPENDED, Step.REINSTATED, Step.SUSPENDED):
            self.measure(card, cast, step, at)
        run(at.date())
        run(at.date() + DAY)
        for reader in (cast.ada, cast.sol):
            (one,) = box.to(reader)
            assert one.count("suspended on 5 Jan 2028 by Max Administrator. Reason: A film shows it") == 2
            assert "reinstated on 5 Jan 2028" in one
        assert "About the cards of your crews:" in one and "Ada Crew" in one

    @pytest.mark.parametrize("step", [Step.WITHDRAWN, Step.SUSPENDED])
    def test_are_told_of_a_closed_card_as_well(self, cast: Cast, card: Card, box: Box, step: Step) -> None:
        """A withdrawal is what one must be told."""
        at = factory.noon(date(2028, 1, 5)) - timedelta(hours=1)
        self.measure(card, cast, step, at)
        run(at.date())
        assert f"{step} on 5 Jan 2028" in box.to(cast.ada)[0]

    def test_are_told_of_an_issue_a_loss_and_a_reduction(self, cast: Cast, box: Box) -> None:
        """Each with its day, and the narrower scope in words."""
        card = factory.card(cast, cast.ada, on=ON)
        run(ON)
        assert "issued, valid from 25 Nov 2026. By Olga Assessor." in box.to(cast.ada)[0]
        facts: dict[str, Any] = {"by": cast.max, "on": ON, "at": factory.noon(ON)}
        new = acts.replace_lost(card=card, reason="Lost on site", **facts)
        run(ON + DAY)
        assert "It takes the place of the lost card." in box.to(cast.ada)[1]
        assert "Reason: Lost on site" in box.to(cast.ada)[1]
        acts.reduce_scope(card=new, scope="Web only.", limits="", reason="Event", **facts)
        run(ON + 2 * DAY)
        assert "Its scope is narrower than before. Read it: Web only." in box.to(cast.ada)[2]

    def test_of_long_ago_are_left_to_the_record(self, cast: Cast, card: Card, box: Box) -> None:
        """After two weeks nobody is startled by a mail."""
        at = factory.noon(date(2028, 1, 5))
        self.measure(card, cast, Step.SUSPENDED, at)
        run(at.date() + 15 * DAY)
        assert box.mails == []


class TestWho:
    @pytest.mark.parametrize("change", [{"is_active": False}, {"email": ""}])
    def test_leaves_out_who_cannot_read_it(self, cast: Cast, card: Card, box: Box, change: dict[str, Any]) -> None:
        """No address, or an account that is closed; then its cards are told to nobody, or to the supervisor alone."""
        Person.objects.filter(pk=cast.ada.pk).update(**change)
        run(END)
        assert box.to(cast.ada) == []
        assert len(box.to(cast.sol)) == (1 if "email" in change else 0)

    def test_leaves_out_who_supervises_no_more(self, cast: Cast, card: Card, box: Box) -> None:
        """The role ended the day before."""
        cast.sol.roles_held.update(until_on=END - DAY)
        run(END)
        assert box.to(cast.sol) == []

    def test_tells_a_supervisor_of_their_own_card_once(self, cast: Cast, box: Box) -> None:
        """As their own, not as a crew member's."""
        factory.card(cast, cast.sol, on=ON, confirm_months=40)
        run(END)
        (one,) = box.to(cast.sol)
        assert "About your own cards:" in one
        assert "of your crews" not in one

    def test_writes_in_the_readers_language(self, cast: Cast, card: Card) -> None:
        """As chosen; else in that of the site."""
        Person.objects.filter(pk=cast.ada.pk).update(language="es")
        assert {one.person: one.person.reads for one in letters(at=factory.noon(END))} == {
            cast.ada: "es",
            cast.sol: "en",
            cast.quin: "en",
            cast.rex: "en",
        }


class TestOnce:
    def test_says_only_in_a_dry_run(self, cast: Cast, card: Card, box: Box) -> None:
        """Nothing is written, nothing leaves."""
        said = run(END, "--dry-run")
        assert f"ada: {card.number} last day 2029-11-24" in said
        assert "0 sent, 0 not sent." in said
        assert box.mails == []
        assert not Notice.objects.exists()

    def test_goes_on_after_a_refusal_and_sends_it_later(self, cast: Cast, card: Card, box: Box) -> None:
        """One box refuses; the others get theirs, once; the next run sends the one."""
        box.refuses = {"ada@example.org"}
        with pytest.raises(CommandError, match="ada: "):
            run(END)
        assert len(box.to(cast.sol)) == 1
        box.refuses = set()
        assert "1 sent, 0 not sent." in run(END)
        assert (len(box.to(cast.ada)), len(box.to(cast.sol))) == (1, 1)

    def test_sends_all_later_when_the_server_was_away(
        self, cast: Cast, card: Card, box: Box, settings: Settings
    ) -> None:
        """Nobody listens on the port: every mail is kept for the next run."""
        port, settings.EMAIL_PORT = settings.EMAIL_PORT, 1
        with pytest.raises(CommandError, match="the next run sends them"):
            run(END)
        assert not Notice.objects.exists()
        settings.EMAIL_PORT = port
        assert "4 sent, 0 not sent." in run(END)

    def test_is_never_sent_twice_by_a_run_that_broke(self, cast: Cast, card: Card, box: Box) -> None:
        """Written and not marked as sent: the power went in between, and it may have left."""
        run(END)
        Notice.objects.update(sent_at=None)
        assert "0 sent" in run(END)

    def test_yields_to_another_run(self, cast: Cast, card: Card) -> None:
        """What somebody else has written meanwhile is theirs to send."""
        (letter, *_rest) = letters(at=factory.noon(END))
        assert len(write_notices(person=letter.person, items=letter.items, at=factory.noon(END))) == 1
        assert write_notices(person=letter.person, items=letter.items, at=factory.noon(END)) == []

    def test_is_held_by_the_table(self, cast: Cast, card: Card) -> None:
        """With a sentence."""
        facts: dict[str, Any] = {"person": cast.ada, "card": card, "kind": "issued", "due": ON}
        Notice.objects.create(**facts, written_at=factory.noon(ON))
        for change, sentence in (
            ({}, "This person was told that already."),
            ({"kind": "gossip"}, "A notice is about a day of a card or about an act on it."),
            ({"due": END, "sent_at": factory.noon(ON - DAY)}, "A notice is written before it is sent."),
        ):
            with pytest.raises(ValidationError) as caught:
                Notice(**facts | {"written_at": factory.noon(ON)} | change).validate_constraints()
            assert sentence in caught.value.messages

    def test_costs_the_same_for_many(self, cast: Cast, card: Card, django_assert_num_queries: Any) -> None:
        """Supervisors, numbers and people; and for each batch the notices, cards, acts and their pasts."""
        with django_assert_num_queries(8):
            letters(at=factory.noon(END))
        factory.card(cast, cast.ben, on=ON, confirm_months=40)
        with django_assert_num_queries(8):
            letters(at=factory.noon(END))

    def test_forgets_nobody_between_batches(self, cast: Cast, card: Card, monkeypatch: pytest.MonkeyPatch) -> None:
        """One card at a time."""
        monkeypatch.setattr(queries, "BATCH", 1)
        assert len(letters(at=factory.noon(END))) == 4
