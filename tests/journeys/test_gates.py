"""A gate asks by itself: a token is made in the browser, used by a program, and revoked in the browser."""

import json
from urllib.error import HTTPError
from urllib.request import Request, urlopen

from playwright.sync_api import expect

from tests.journeys.walk import Site


def ask(site: Site, token: str, query: str) -> tuple[int, dict[str, object], dict[str, str]]:
    """Ask as a gate would, with the standard library alone."""
    request = Request(f"{site.base}/gate/v1/standing?{query}", headers={"Authorization": f"Bearer {token}"})  # noqa: S310
    try:
        with urlopen(request, timeout=30) as answer:  # noqa: S310
            return answer.status, json.load(answer), dict(answer.headers)
    except HTTPError as refusal:
        return refusal.code, json.load(refusal), dict(refusal.headers)


class TestAGate:
    def test_asks_until_its_token_is_revoked(self, site: Site) -> None:
        """The administrator makes it, the program asks, the supervisor revokes it, the next answer is 401."""
        office = site.enter("nadia")
        office.goto("/gate/")
        office.get_by_label("Employer").select_option(label="Harrowmere Permanent Way")
        office.get_by_label("Name of the token").fill("Yard gate")
        office.get_by_role("button", name="Make the token").click()
        expect(office.get_by_role("heading", level=1)).to_have_text("The new token")
        token = office.locator("[data-token]").inner_text()

        status, told, headers = ask(site, token, "person=moira&scheme=rail-bonds")
        assert (status, headers["Cache-Control"]) == (200, "no-store")
        assert "Set-Cookie" not in headers
        # The company of a journey has done nothing yet.
        assert (told["version"], told["person"]) == (1, "moira")
        assert (told["current"], told["standing"]) == (False, "no card")
        assert "Tarn" not in json.dumps(told)
        status, told, _headers = ask(site, token, "person=nadia&scheme=rail-bonds")
        assert (status, told["title"]) == (404, "Not Found")

        supervisor = site.enter("piet")
        supervisor.goto("/board/")
        supervisor.get_by_role("link", name="Answers for gates").click()
        supervisor.get_by_role("link", name="The tokens of my employer").click()
        supervisor.get_by_role("link", name="Revoke Yard gate").click()
        supervisor.get_by_role("button", name="Revoke").click()
        expect(supervisor.get_by_role("main")).to_contain_text("gets no answer")
        expect(supervisor.get_by_role("row").filter(has_text="Yard gate")).to_contain_text("revoked")

        status, told, headers = ask(site, token, "person=moira&scheme=rail-bonds")
        assert (status, told["status"]) == (401, 401)
        assert headers["WWW-Authenticate"] == 'Bearer realm="gates", error="invalid_token"'
