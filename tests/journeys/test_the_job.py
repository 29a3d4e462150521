"""The whole job in Chromium: read, sit, be signed off, carry the card, be seen on the board, be checked."""

import re
from urllib.parse import urlsplit

from playwright.sync_api import expect

from certs.cards.code import unseal
from tests.browser import fresh
from tests.journeys.walk import Site, answer_all, hand_in, keys_on_record, read_card, read_everything, sign, start


class TestTheJob:
    def test_goes_from_sign_in_to_a_card_that_any_phone_can_check(self, site: Site) -> None:
        """A crew member reads and sits, a trainer signs, a supervisor looks, a stranger checks."""
        crew = site.enter("moira")
        read_everything(crew)
        sitting = start(crew)
        answer_all(crew, sitting)
        hand_in(crew)
        expect(crew.get_by_role("heading", level=1)).to_have_text(re.compile(": passed$"))
        sitting.refresh_from_db()
        assert sitting.passed

        card = sign(site)
        face = read_card(crew, card)
        assert card.number in face.text
        assert "Moira Tarn" in face.text
        facts = unseal(face.code.split("#")[1], keys_on_record()).says
        assert facts.number == card.number

        supervisor = site.enter("piet")
        supervisor.goto("/board/")
        row = supervisor.get_by_role("row").filter(has_text="Moira Tarn")
        expect(row).to_contain_text("Current")
        supervisor.goto("/board/?on=2026-01-01")
        expect(supervisor.get_by_role("row").filter(has_text="Moira Tarn")).not_to_contain_text("Current")

        stranger = fresh(site.browser, site.base).new_page()
        code = urlsplit(face.code)
        stranger.goto(f"{code.path}#{code.fragment}")
        expect(stranger.get_by_role("main")).to_contain_text("Genuine and current")
        expect(stranger.get_by_role("main")).to_contain_text("Moira Tarn")
        stranger.goto("/check/")
        stranger.get_by_label("Card number").fill(card.number.lower().replace("-", " "))
        stranger.get_by_role("button", name="Check the number").click()
        expect(stranger.get_by_role("main")).to_contain_text("Genuine and current")
