"""A card is printed in the language its holder chose, alone and among others."""

import io
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
import time_machine

from certs.batches import operations as batches
from certs.cards import pdf, queries
from certs.cards.models import Card
from certs.cards.pdf import Layout, lay
from certs.management import drawn
from tests import company
from tests.cast import AT, ON, Cast
from tests.certs import factory
from training.content.schemes import SchemeSpec
from training.people.models import Person

LABELS = {"": "Valid from", "en": "Valid from", "es": "Válida desde el", "fr": "Valable à partir du"}


def text(made: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(made)).pages)


@pytest.mark.parametrize(("language", "label"), LABELS.items())
def test_is_the_holders_own(cast: Cast, card_key: Path, language: str, label: str) -> None:
    """Left empty, that of the scheme, which is English here."""
    factory.card(cast, cast.ada, on=ON)
    Person.objects.filter(pk=cast.ada.pk).update(language=language)
    printed = text(pdf.render(queries.face(queries.cards().get(), on=ON)))
    assert label in printed
    assert "Fixing bonds to running rails with an 8 mm pin." in printed


def test_is_each_holders_own_in_a_batch_unless_one_is_asked_for(cast: Cast, card_key: Path) -> None:
    """Two languages on one sheet, or all in the one that was chosen for the print."""
    for person, language in ((cast.ada, "es"), (cast.ben, "fr")):
        factory.card(cast, person, on=ON)
        Person.objects.filter(pk=person.pk).update(language=language)
    for asked, labels in (("", {"Válida desde el", "Valable à partir du"}), ("en", {"Valid from"})):
        with time_machine.travel(AT, tick=False):
            batch = batches.ask(
                by=cast.sol, chosen=list(Card.objects.order_by("pk")), layout=Layout.TEN, language=asked, at=AT
            )
            for _step in range(2):
                batch = batches.advance(batch=batch, at=AT)
        assert {label for label in LABELS.values() if label in text(bytes(batch.pdf))} == labels


@pytest.mark.parametrize("language", ["en", "es", "fr"])
@pytest.mark.parametrize("scheme", company.content().schemes, ids=lambda scheme: scheme.slug)
def test_leaves_room_for_a_photo(cast: Cast, card_key: Path, scheme: SchemeSpec, language: str) -> None:
    """What the schemes of the site say fits beside a photo in every language, with a long ledger mark."""
    factory.card(cast, cast.ada, on=ON)
    shown = queries.face(queries.cards().get(), on=ON)
    texts = {"scheme": scheme.title, "scope": scheme.scope, "limits": scheme.limits}
    full = replace(shown, issuer="Fellgate Bonding Board", **texts)
    assert lay(full, mark="123456 9f86d081884c7d65", language=language, photo=drawn.face()).photo
