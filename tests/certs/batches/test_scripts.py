"""Many cards with photos in many scripts, from the site's batch and from the command: read back and looked at."""

import io
import os
from io import StringIO
from pathlib import Path
from typing import Any

import pypdf
import pypdfium2
import pytest
import time_machine
import zxingcpp
from django.core.management import call_command
from PIL import Image

from certs.batches import operations, queries
from certs.batches.models import Batch
from certs.cards import code
from certs.cards.models import Card, CardKey
from certs.cards.pdf import Layout
from certs.management import drawn
from certs.photos.rules import PORTRAIT
from certs.portraits.operations import put_up
from tests.cast import AT, ON, Cast, person
from tests.certs import factory
from training.people.rules import Role

# Common names as their own languages write them (from memory).
NAMES = {
    "cyrillic": "Коновалов Дмитрий Сергеевич",
    "greek": "Αικατερίνη Παπαδοπούλου",
    "arabic": "محمد عبد الرحمن الفاسي",
    "chinese": "山田太郎",
    "korean": "김민수",
    "polish": "Łukasz Żółć-Święcki",
    "long": "Maria da Conceição Albuquerque Vasconcelos de Sousa Figueiredo e Castro",
    "longer": "Maximiliana Alexandra " * 5,
    # Refused: too wide at the smallest type, and too many bytes for the code.
    "capitals": "WMWMWMWM " * 12,
    "bytes": "山田太郎" * 15,
}
REFUSED = {"capitals", "bytes"}
# Set to a folder to keep a picture of every page.
PICTURES = os.environ.get("FERRULE_PICTURES", "")


@pytest.fixture
def cards(cast: Cast, card_key: Path) -> dict[str, Card]:
    """A card of each name, each with a drawn photo."""
    facts: dict[str, Any] = {"agreed_on": ON, "how": "", "at_check": False, "on": ON, "at": AT}
    made = {}
    for key, name in NAMES.items():
        holder = person(key, name.strip(), cast.northmoor, Role.CREW)
        put_up(person=holder, by=holder, photo=drawn.face(), **facts)
        made[key] = factory.card(cast, holder, on=ON)
    return made


def pages(made: bytes, name: str) -> list[Image.Image]:
    with pypdfium2.PdfDocument(made) as document:
        shown = [page.render(scale=300 / 72).to_pil() for page in document]
    for number, one in enumerate(shown, 1):
        if PICTURES:
            one.save(Path(PICTURES) / f"{name}-{number}.png")
    return shown


def holders(shown: list[Image.Image]) -> list[str]:
    """Return the names in the signed codes of these pages, as a scanner reads them."""
    keys = {bytes.fromhex(key.key_id): bytes.fromhex(key.public) for key in CardKey.objects.all()}
    found = [one.text.partition("#")[2] for page in shown for one in zxingcpp.read_barcodes(page)]
    return sorted(code.unseal(one, keys).says.name for one in found)


def portraits(made: bytes) -> set[tuple[int, int]]:
    reader = pypdf.PdfReader(io.BytesIO(made))
    sizes = {image.image.size for page in reader.pages for image in page.images if image.image}
    return {size for size in sizes if size[0] != size[1]}


PRINTED = sorted(NAMES[key].strip() for key in NAMES if key not in REFUSED)


@pytest.mark.parametrize("layout", list(Layout))
def test_batch_prints_every_script_with_its_photo(cast: Cast, cards: dict[str, Card], layout: Layout) -> None:
    """Long names take smaller type; what does not fit then, in print or in the code, is refused with a sentence."""
    with time_machine.travel(AT, tick=False):
        batch = operations.ask(by=cast.sol, chosen=list(cards.values()), layout=layout, language="", at=AT)
        for _step in range(2):
            batch = operations.advance(batch=batch, at=AT)
        refused = {
            number: reason for number, _name, reason in queries.shown(Batch.objects.get(pk=batch.pk), at=AT).refused
        }
    assert set(refused) == {cards[key].number for key in REFUSED}
    assert refused[cards["capitals"].number] == "The name of the holder is too long for a card. Enter a shorter one."
    assert refused[cards["bytes"].number].startswith("The name is too long for the code of the card.")
    made = bytes(batch.pdf)
    assert holders(pages(made, f"batch-{layout}")) == PRINTED
    assert portraits(made) == {PORTRAIT}
    text = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made)).pages).split())
    for key in ("cyrillic", "greek", "chinese", "korean", "polish", "long"):
        assert NAMES[key].replace(" ", "") in text.replace(" ", ""), key


def test_command_prints_the_same(cast: Cast, cards: dict[str, Card], tmp_path: Path) -> None:
    """`print_cards`, with what it could not print named on the side."""
    file, said, aside = tmp_path / "cards.pdf", StringIO(), StringIO()
    with time_machine.travel(AT, tick=False):
        call_command("print_cards", str(file), "--by", "sol", "--employer", "northmoor", stdout=said, stderr=aside)
    assert "8 cards on 2 pages." in said.getvalue()
    assert all(f"Not printed: {cards[key].number}" in aside.getvalue() for key in REFUSED)
    assert holders(pages(file.read_bytes(), "command")) == PRINTED
    assert portraits(file.read_bytes()) == {PORTRAIT}
