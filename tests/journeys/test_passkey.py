"""A passkey is added, signs its owner in, is refused where nobody was recognised, and stands for the password.

Chromium's virtual authenticator (Chrome DevTools Protocol, domain WebAuthn) is the phone; the site's policy forbids
inline script and style, and the browser complains about none.
"""

import pytest
from playwright.sync_api import Page, expect

from certs.management.replay import password
from tests.journeys.walk import Site

PHONE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


def prove(page: Page, username: str) -> None:
    """Type the password where it is asked for once more."""
    page.get_by_label("Password").fill(password(username))
    page.get_by_role("main").get_by_role("button", name="Go on").click()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("width", [360, 1280])
def test_a_trainer_signs_in_with_a_passkey(site: Site, width: int) -> None:
    page = site.enter("iver", width=width)
    complaints: list[str] = []
    page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    devices = page.context.new_cdp_session(page)
    devices.send("WebAuthn.enable")
    phone = devices.send("WebAuthn.addVirtualAuthenticator", {"options": PHONE})["authenticatorId"]
    main = page.get_by_role("main")

    page.goto("/account/passkeys/add/")
    prove(page, "iver")
    page.locator("[name=name]").fill("My phone")
    main.get_by_role("button", name="Add a passkey").click()
    expect(page.get_by_text("The passkey is added.")).to_be_visible()

    page.context.clear_cookies()
    page.goto("/account/login/")
    main.get_by_role("button", name="Sign in with a passkey").click()
    page.wait_for_url(f"{site.base}/")
    page.goto("/signoffs/")  # a page of staff: the passkey was both factors
    expect(main.get_by_role("heading", level=1)).to_be_visible()

    page.goto("/account/passkeys/again/?next=/account/sessions/")
    main.get_by_role("button", name="Use a passkey").click()
    expect(main.get_by_role("heading", level=1)).to_have_text("Where you are signed in")
    assert page.evaluate("document.documentElement.scrollWidth") <= width

    page.context.clear_cookies()
    devices.send("WebAuthn.setUserVerified", {"authenticatorId": phone, "isUserVerified": False})
    page.goto("/account/login/")
    main.get_by_role("button", name="Sign in with a passkey").click()
    expect(page.get_by_text("The passkey was not used.")).to_be_visible()
    assert complaints == []
