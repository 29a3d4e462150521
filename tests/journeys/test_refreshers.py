"""A refresher from the home page to its plan and its mail, in a browser that runs no script."""

from datetime import timedelta

from django.core import mail
from django.core.management import call_command
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser import sign_in
from tests.journeys.walk import Site, write
from tests.training.refreshers.answers import answered
from training.people.rules import local_day
from training.quizzes.models import SittingItem
from training.refreshers.models import Drill
from training.refreshers.rules import Outcome


class TestRefresher:
    def test_is_answered_without_a_script_and_moves_its_day(self, site: Site) -> None:
        """Due on the home page; three questions; all right; weeks away, and gone from the home page."""
        moira = site.company.people["moira"]
        today = local_day(timezone.now(), timezone.get_current_timezone())
        answered(moira, "setup", today - timedelta(days=60), Outcome.HELPED)
        answered(moira, "firing", today - timedelta(days=60))
        context = site.browser.new_context(
            base_url=site.base, viewport={"width": 360, "height": 780}, java_script_enabled=False
        )
        page = sign_in(context, "moira")
        main = page.get_by_role("main")
        due = main.get_by_role("region", name="Refreshers due")
        due.get_by_role("link", name="Setting up").click()
        main.get_by_role("button", name="Show the 3 questions").click()
        for position, asked in enumerate(Drill.objects.get(answered_at=None).asked, start=1):
            write(page, SittingItem(position=position, shown=asked["shown"], sealed=asked["sealed"]))
        main.get_by_role("button", name="Answer", exact=True).click()
        expect(main).to_contain_text("All right.")
        expect(main).to_contain_text("Next time: in about")
        main.get_by_role("link", name="To the refreshers").click()
        main.get_by_label("Send me a mail when a refresher is due.").check()
        main.get_by_role("button", name="Keep this choice").click()
        expect(page.get_by_role("status").first).to_contain_text("A mail will come")
        main.get_by_role("link", name="See the plan").click()
        expect(main.get_by_role("img", name="Setting up")).to_be_visible()
        page.goto("/")
        expect(due.get_by_role("link", name="Firing")).to_be_visible()
        expect(due.get_by_role("link", name="Setting up")).to_have_count(0)

        call_command("send_refreshers")
        (letter,) = mail.outbox
        assert "Firing" in letter.body
        assert "Setting up" not in letter.body
