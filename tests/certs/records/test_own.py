"""Where a crew member stands, step by step, from the first reading to the renewal."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from certs.cards.models import Card
from certs.cards.operations import measure
from certs.cards.rules import Standing
from certs.cards.rules import Step as CardStep
from certs.records.queries.own import Action, OwnScheme, main_action, own_schemes
from certs.records.rules import Step
from certs.schemes.models import Scheme
from certs.signoffs.models import Decision
from tests.cast import AT, ON, Cast
from tests.certs.factory import card, change, noon, passed_sitting, scheme_issue, signoff
from tests.certs.records.conftest import Content
from training.bridges.models import Bridge
from training.content.schemes import Decided, Unconfirmed
from training.procedures.models import Revision
from training.quizzes.models import Sitting

BEFORE = ON - timedelta(days=3)


def own(cast: Cast, *, on: date = ON) -> OwnScheme:
    (only,) = own_schemes(cast.ada, on=on, at=noon(on))
    return only


def missed(cast: Cast, *, on: date) -> Sitting:
    sitting = passed_sitting(cast.ada, on=on)
    Sitting.objects.filter(pk=sitting.pk).update(passed=False, earned_numerator=1)
    return sitting


class TestOwnSchemes:
    def test_start_with_reading(self, cast: Cast, content: Content) -> None:
        """The first thing is to read, and the button leads to the first module."""
        shown = own(cast)
        assert (shown.face, shown.step, shown.unread) == (None, Step.READ, (("setup", "Setting up", "to read"),))
        assert shown.action is not None
        assert (shown.action.url, shown.action.label) == ("/procedures/setup/", "Read: Setting up")

    def test_name_a_changed_procedure_with_its_day(self, cast: Cast, content: Content) -> None:
        """Read first, then the questions; the button leads to each, and the list says what is left."""
        card(cast, cast.ada, on=BEFORE)
        content.read_by(cast.ada, on=BEFORE)
        asking = content.revise(demand="answer")
        shown = own(cast)
        assert (shown.step, shown.sentence) == (Step.READ_CHANGED, "Read the changed procedure by 30 Nov 2026.")
        assert (shown.action and shown.action.url, shown.renews) == ("/procedures/setup/", False)
        content.read_by(cast.ada, on=ON, revision=asking)
        shown = own(cast)
        assert shown.sentence == "Answer the questions about the changed procedure by 30 Nov 2026."
        assert shown.action is not None
        assert (shown.action.url, shown.action.label) == ("/procedures/setup/questions/2/", "Answer: Setting up")
        Bridge.objects.create(person=cast.ada, revision=asking, seed="s", opened_at=AT, answered_at=AT)
        assert own(cast).step is Step.NOTHING

    def test_say_that_a_changed_procedure_makes_due_what_need_not_be_renewed(
        self, cast: Cast, content: Content
    ) -> None:
        """Due, with the reason, three years before its last day."""
        card(cast, cast.ada, on=BEFORE)
        content.revise(demand="read")
        late = own(cast, on=date(2026, 12, 1))
        assert late.face is not None
        assert (late.face.standing, late.renews) == (Standing.DUE, False)
        assert late.face.reason == "Good to the end of 21 Nov 2029."
        assert late.face.warning == "What a changed procedure asks was to be done by 30 Nov 2026 and was not."

    def test_go_on_to_the_paper(self, cast: Cast, content: Content) -> None:
        """Everything read: sit the paper."""
        content.read_by(cast.ada, on=BEFORE)
        shown = own(cast)
        assert (shown.step, shown.action and shown.action.url) == (Step.SIT, "/papers/theory/start/")

    def test_lead_back_to_an_open_paper(self, cast: Cast, content: Content) -> None:
        """Its time is running."""
        sitting = passed_sitting(cast.ada, on=ON)
        nothing = {"handed_in_at": None, "earned_numerator": None, "earned_denominator": None, "passed": None}
        Sitting.objects.filter(pk=sitting.pk).update(**nothing)
        shown = own(cast)
        assert (shown.step, shown.action and shown.action.url) == (Step.GO_ON, f"/papers/sittings/{sitting.pk}/")

    def test_say_from_when_a_missed_paper_may_be_sat_again(self, cast: Cast, content: Content) -> None:
        """The day comes from the paper's own waits: one day after the first miss."""
        content.read_by(cast.ada, on=BEFORE)
        missed(cast, on=ON)
        assert own(cast).sentence == "The paper was not passed. It may be sat again from 26 Nov 2026."
        result = f"/papers/sittings/{cast.ada.sittings.get().pk}/"
        assert own(cast).action == Action(result, "See what to read again")
        assert f'<a class="tap" href="{result}">See what to read again</a>' in cast.client("ada").get("/").text
        assert own(cast, on=ON + timedelta(days=1)).step is Step.SIT

    def test_wait_for_the_practical(self, cast: Cast, content: Content) -> None:
        """Paper passed: an assessor is needed."""
        content.read_by(cast.ada, on=BEFORE)
        passed_sitting(cast.ada, on=BEFORE)
        assert own(cast).step is Step.PRACTICAL

    def test_ask_for_a_failed_practical_again(self, cast: Cast, content: Content) -> None:
        """A signed practical that was not passed."""
        content.read_by(cast.ada, on=BEFORE)
        signoff(cast.ada, content.issue, assessor=cast.olga, on=BEFORE, passed=False)
        assert own(cast).step is Step.PRACTICAL_AGAIN

    def test_wait_for_the_decision_and_go_back_after_a_refusal(self, cast: Cast, content: Content) -> None:
        """A scheme with a separate decision."""
        content.read_by(cast.ada, on=BEFORE)
        Scheme.objects.update(retired_at=AT)
        issue = scheme_issue(slug="leads", decision=Decided.SEPARATE)
        signed = signoff(cast.ada, issue, assessor=cast.olga, on=BEFORE)
        assert own(cast).step is Step.DECISION
        Decision.objects.create(signoff=signed, by=cast.dora, at=AT, granted=False, reasons="unclear readings")
        assert own(cast).step is Step.PRACTICAL_AGAIN

    def test_rest_while_the_card_is_current(self, cast: Cast, content: Content) -> None:
        """Renewal opens six months before the last day, counted as in the card rules; the pass is spent."""
        content.read_by(cast.ada, on=BEFORE)
        card(cast, cast.ada, on=date(2026, 8, 31))
        shown = own(cast)
        assert shown.sentence == "Nothing to do. Renewal opens on 28 Feb 2029."
        assert shown.confirm_by == date(2027, 2, 28)

    def test_ask_for_confirmation_in_time(self, cast: Cast, content: Content) -> None:
        """Due 28 Feb 2027: asked from 29 Jan 2027 on; the day after the due day the way starts again."""
        content.read_by(cast.ada, on=BEFORE)
        card(cast, cast.ada, on=date(2026, 8, 31))
        assert own(cast, on=date(2027, 1, 28)).step is Step.NOTHING
        assert own(cast, on=date(2027, 1, 29)).sentence == "Ask the supervisor to confirm the work by 28 Feb 2027."
        stopped = own(cast, on=date(2027, 3, 1))
        assert (stopped.step, stopped.confirm_by) == (Step.SIT, None)

    def test_renew_in_the_window_with_a_new_paper(self, cast: Cast, content: Content) -> None:
        """The paper behind the card does not earn the next one."""
        content.read_by(cast.ada, on=date(2026, 8, 1))
        card(cast, cast.ada, on=date(2026, 8, 31), unconfirmed=Unconfirmed.WARNS, slug="bonds")
        change(Card.objects.all(), confirm_by=date(2029, 8, 30))
        shown = own(cast, on=date(2029, 3, 1))
        assert (shown.renews, shown.step) == (True, Step.SIT)
        passed_sitting(cast.ada, on=date(2029, 3, 2))
        assert own(cast, on=date(2029, 3, 3)).step is Step.PRACTICAL

    def test_stop_while_suspended(self, cast: Cast, content: Content) -> None:
        """No work, and whom to ask."""
        held = card(cast, cast.ada, on=date(2026, 8, 31))
        measure(card=held, step=CardStep.SUSPENDED, by=cast.max, reason="a doubt", on=ON, at=AT)
        shown = own(cast)
        assert (shown.step, shown.face and shown.face.standing) == (Step.ASK, Standing.SUSPENDED)

    def test_read_again_what_was_revised(self, cast: Cast, content: Content) -> None:
        """A current card does not excuse from a new revision."""
        content.read_by(cast.ada, on=BEFORE)
        card(cast, cast.ada, on=date(2026, 8, 31))
        Revision.objects.create(
            module=content.module,
            number=2,
            language="en",
            title="Setting up",
            order=1,
            body={},
            digest="3" * 64,
            changed="A new torque.",
            loaded_at=AT,
        )
        assert own(cast).unread == (("setup", "Setting up", "changed since it was read"),)

    def test_take_a_fixed_number_of_queries(
        self, cast: Cast, content: Content, django_assert_max_num_queries: Callable[..., Any]
    ) -> None:
        """More schemes, cards and sittings cost nothing."""
        for number in range(5):
            card(cast, cast.ada, on=date(2026, 8, 31), slug=f"scheme-{number}")
            missed(cast, on=ON)
        with django_assert_max_num_queries(12):
            assert len(own_schemes(cast.ada, on=ON, at=AT)) == 6


class TestMainAction:
    def test_prefers_a_card_that_exists(self, cast: Cast, content: Content) -> None:
        """Renewing what one holds comes before a card never begun."""
        content.read_by(cast.ada, on=BEFORE)
        scheme_issue(slug="another", title="Another", paper="other")
        card(cast, cast.ada, on=date(2026, 8, 31))
        shown = own_schemes(cast.ada, on=date(2027, 3, 1), at=AT)
        assert [one.step for one in shown] == [Step.SIT, Step.SIT]
        action = main_action(shown)
        assert action is not None
        assert action.url == "/papers/theory/start/"

    def test_is_nothing_when_all_wait_for_others(self, cast: Cast, content: Content) -> None:
        """No button for what cannot be pressed here."""
        assert main_action(()) is None
