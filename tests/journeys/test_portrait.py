"""A photo for the card, from the phone to the printed card and the check, and away again; then its language."""

import io
import re

import pypdf
import pytest
from playwright.sync_api import Page, expect

from certs.cards.models import Card
from certs.management import drawn, replay
from certs.photos.rules import PORTRAIT
from certs.portraits.models import Portrait
from tests import company as demo
from tests.certs.photos import pictures
from tests.journeys.walk import Site
from tests.laws.test_pages import violations
from training.ledger.queries import fault

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def portrait_site(site: Site) -> Site:
    """The company with Moira's card, by what she did in the history of the demo, and before she puts up a photo."""
    acts = replay.read(demo.DEMO, "history.toml")["act"]
    hers = [
        row
        for row in acts
        if "moira" in {row["who"], row.get("candidate"), row.get("holder")}
        and row["do"] in {"trained", "reads", "sits", "signs", "confirms"}
    ]
    for _done in replay.replay(site.company, {"act": hers}):
        pass
    return site


def choose(page: Page, raw: bytes) -> None:
    file = {"name": "me.jpg", "mimeType": "image/jpeg", "buffer": raw}
    page.get_by_label("Photo of the face").set_input_files(file)  # type: ignore[arg-type]
    page.get_by_label("I agree that my photo is printed").check()
    page.get_by_label("I agree as well").check()
    page.get_by_role("button", name="Keep this photo").click()


def printed(page: Page, card: Card) -> set[tuple[int, int]]:
    """Return the sizes of the photos on the card that the holder prints."""
    made = page.request.get(f"/cards/{card.number}.pdf").body()
    sizes = {one.image.size for each in pypdf.PdfReader(io.BytesIO(made)).pages for one in each.images if one.image}
    return sizes & {PORTRAIT}


def test_is_put_up_printed_compared_and_taken_away(portrait_site: Site) -> None:
    """A first file is refused with what to do; the second is kept; the check shows it as long as it is agreed to."""
    card = Card.objects.get(person=portrait_site.company.people["moira"])
    page = portrait_site.enter("moira")
    page.get_by_role("link", name="My whole record").click()
    page.get_by_role("link", name="Photo for the card").click()
    choose(page, pictures.jpeg((200, 200)))
    expect(page.get_by_role("main")).to_contain_text("too small for a card")
    choose(page, drawn.face())
    expect(page.get_by_role("status")).to_contain_text("It is on the next print of the card.")
    photo = page.get_by_role("img", name="Photo of Moira Tarn")
    expect(photo).to_be_visible()
    assert photo.evaluate("image => image.decode().then(() => [image.naturalWidth, image.naturalHeight])") == [
        *PORTRAIT
    ]
    assert printed(page, card) == {PORTRAIT}
    assert violations(page) == []

    page.goto(f"/check/{card.number}/")
    expect(page.get_by_role("img", name="Photo of Moira Tarn")).to_be_visible()
    assert violations(page) == []
    page.goto(f"/cards/{card.number}/")
    page.get_by_role("link", name="Photo on the card").click()
    page.get_by_role("link", name="Take the photo away").click()
    page.get_by_role("button", name="Take the photo away").click()
    expect(page.get_by_role("status")).to_contain_text("The photo is deleted.")
    assert printed(page, card) == set()
    assert not Portrait.objects.exists()
    page.goto(f"/check/{card.number}/")
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("Answer of the register"))
    expect(page.get_by_role("img", name="Photo of Moira Tarn")).to_have_count(0)
    page.goto("/people/me/")
    page.get_by_label("Language of cards and mails").select_option("es")
    page.get_by_role("button", name="Keep the language").click()
    expect(page.get_by_role("status")).to_contain_text("The language is kept")
    assert violations(page) == []
    made = page.request.get(f"/cards/{card.number}.pdf").body()
    assert "Válida desde el" in pypdf.PdfReader(io.BytesIO(made)).pages[0].extract_text()
    assert fault() == ""
