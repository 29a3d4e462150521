"""What the journeys have in common: a served company, and the acts of its people as they do them on the screen."""

import io
import re
from dataclasses import dataclass

import pypdf
import pypdfium2
import zxingcpp
from django.utils import timezone
from playwright.sync_api import Browser, Page, expect

from certs.cards.models import Card, CardKey
from certs.management.replay import Company, Row, password, replay, right
from tests.browser import fresh, sign_in
from training.bank.queries import drawn
from training.people.models import Person
from training.procedures.models import Revision
from training.procedures.queries import hold_points, standing
from training.procedures.rules import seed
from training.quizzes.models import Sitting, SittingItem

PAPER = "bonding-theory"


@dataclass
class Site:
    """The served company, and the browser to see it with."""

    company: Company
    base: str
    browser: Browser

    def enter(self, username: str, *, width: int = 1280) -> Page:
        """Sign in as someone, in a browser profile of their own."""
        return sign_in(fresh(self.browser, self.base, width=width), username)


def make_ready(site: Site, username: str) -> None:
    """Let somebody have read the procedures and passed the paper, where the journey is about what comes after."""
    acts: list[Row] = [
        {"days_ago": 5, "do": "reads", "who": username, "scheme": "rail-bonds"},
        {"days_ago": 3, "do": "sits", "who": username, "paper": PAPER, "misses": 0, "invigilator": "iver"},
    ]
    for _done in replay(site.company, {"act": acts}):
        pass


def read_everything(page: Page) -> None:
    """Open each procedure and say that it was read."""
    page.goto("/procedures/")
    addresses = [
        link.get_attribute("href") for link in page.get_by_role("main").locator("a[href^='/procedures/']").all()
    ]
    for address in dict.fromkeys(addresses):
        page.goto(str(address))
        answer_holds(page)
        page.get_by_role("button", name="I have read this").click()
        expect(page.get_by_role("status").first).to_be_visible()


def answer_holds(page: Page) -> None:
    """Answer the questions at the hold points of the open procedure rightly, one after the other, each in its place."""
    person = Person.objects.get(name=page.locator(".signed-in strong").first.inner_text())
    forms = page.locator(".ask form")
    while forms.count():
        slug, _hold, step = str(forms.first.get_attribute("action")).strip("/").split("/")[-3:]
        revision = Revision.objects.select_related("module").filter(module__slug=slug).latest("number")
        points = hold_points(revision, person=person).by_step[step]
        point = next(one for one in points if one.question)
        holds, versions = standing(revision, person=person)
        hold = next(one for one in holds if versions[one.ask.key].pk == point.version)
        item = drawn(versions[hold.ask.key], seed=seed(person.pk, hold.ask, turn=hold.turn))
        put(page, point.question.position, item.shown(), item.key())
        left = forms.count()
        forms.first.get_by_role("button", name="Answer").click()
        expect(forms).to_have_count(left - 1)


def start(page: Page) -> Sitting:
    """Open the paper from its rules."""
    page.goto(f"/papers/{PAPER}/start/")
    page.get_by_label("I have read these rules").check()
    page.get_by_role("main").get_by_role("button", name="Start").click()
    page.wait_for_url("**/sittings/**")
    return Sitting.objects.get(handed_in_at__isnull=True)


def write(page: Page, item: SittingItem) -> None:
    """Answer one question rightly, as a person types and ticks."""
    put(page, item.position, item.shown, item.sealed)


def put(page: Page, position: int, shown: Row, sealed: Row) -> None:
    """Fill in the right answer of the question in a place."""
    for key, part in zip(sealed["parts"], shown["parts"], strict=True):
        name, answer = f"q{position}-{part['name']}", right(key, part)
        if part["answer"] == "number":
            # 1,250 could mean 1250 as well, and would be asked for again.
            unclear = re.match(r"[1-9]\d{0,2}\.\d{3}\b", str(answer))
            page.locator(f"[name='{name}']").fill(str(answer) if unclear else str(answer).replace(".", ","))
        elif part["answer"] == "order":
            for place, line in enumerate(answer, start=1):
                page.locator(f"[name='{name}-{line}']").select_option(str(place))
        else:
            for option in [answer] if isinstance(answer, str) else answer:
                page.locator(f"[name='{name}'][value='{option}']").check()


def answer_all(page: Page, sitting: Sitting) -> None:
    """Answer the whole paper rightly."""
    for item in sitting.items.order_by("position"):
        write(page, item)


def hand_in(page: Page) -> None:
    """Look the paper over, hand it in and see what it came to."""
    page.get_by_role("button", name="Look it over").click()
    page.wait_for_url("**/review/")
    page.get_by_role("button", name="Hand in").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(": (not )?passed$"))


def sign(site: Site) -> Card:
    """Fill in the sheet of the one who waits, and sign it in the next step, both as a person does."""
    trainer = site.enter("iver")
    trainer.goto("/signoffs/")
    trainer.get_by_role("link", name="Open the sheet for Moira Tarn").click()
    fill_sheet(trainer)
    send(trainer)
    sign_sheet(trainer)
    expect(trainer.get_by_role("main")).to_contain_text("passed", ignore_case=True)
    return Card.objects.get(person=site.company.people["moira"])


def send(page: Page) -> None:
    """Send the sheet that is open; it is kept on the phone first, and goes at once where there is a signal."""
    page.get_by_role("button", name="Send to be signed").click()
    expect(page.get_by_text("Sent. It is on record.")).to_be_visible()


def sign_sheet(page: Page) -> None:
    """Sign the first sheet that waits: the candidate confirms, the assessor signs."""
    page.get_by_role("link", name="Sign it now").click()
    page.get_by_label("Moira Tarn: your own password").fill(password("moira"))
    page.get_by_label("Your password again").fill(password("iver"))
    page.get_by_role("button", name="Sign", exact=True).click()
    page.wait_for_url("**/signoffs/*-*/")


def fill_sheet(page: Page) -> None:
    """Fill in a clean sheet: every check seen, every bond good, on a cold day."""
    today = timezone.now().date()
    main = page.get_by_role("main")
    expect(page.get_by_role("contentinfo")).to_be_attached()  # the end of a page still arriving
    for box in main.get_by_role("checkbox").all():
        if "below" not in str(box.get_attribute("name")):
            box.check()
    main.locator("[name='bond_1_leads'][value='in']").check()
    texts = {
        "place": "Training siding",
        "volt_meter": "M-2041",
        "set_meter": "S-118",
        "pin_lot": "L2201",
        "air_c": "−4,5",
        "cell_c": "12",
        "burn": "flush",
        "pack_v": "39,62",
        "forward_uv": "730",
        "reversed_uv": "−470",
        "current_a": "10",
    }
    for field in main.locator("input[type=text], input[type=date], input:not([type])").all():
        name = str(field.get_attribute("name"))
        if name in ("volt_until", "set_until"):
            field.fill(today.replace(year=today.year + 1).isoformat())
        for key, value in texts.items():
            # What is folded away stays empty: it is as for the bond before.
            if (name == key or name.endswith(f"_{key}")) and field.is_visible():
                field.fill(value)


@dataclass
class Face:
    """What a card's PDF says, to a reader and to a scanner."""

    text: str
    code: str


def read_card(page: Page, card: Card) -> Face:
    """Fetch the PDF as the holder does, read its text, rasterise it and read its code."""
    page.goto(f"/cards/{card.number}/")
    address = page.get_by_role("main").locator("a[href$='.pdf']").first.get_attribute("href")
    pdf = page.request.get(str(address)).body()
    text = "\n".join(sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(pdf)).pages)
    pages = pypdfium2.PdfDocument(pdf)
    codes = [zxingcpp.read_barcodes(pages[n].render(scale=200 / 72).to_pil()) for n in range(len(pages))]
    return Face(text, next(code.text for found in codes for code in found))


def keys_on_record() -> dict[bytes, bytes]:
    """The public halves that the register holds."""
    return {bytes.fromhex(key.key_id): bytes.fromhex(key.public) for key in CardKey.objects.all()}
