"""What fits on a card, what shrinks, and what is refused with a sentence."""

from dataclasses import replace
from pathlib import Path

import pytest

from certs.cards import pdf, queries
from certs.cards.pdf import CannotPrint
from certs.cards.queries import CardFace
from certs.cards.rules import Standing
from tests.cast import ON, Cast
from tests.certs import factory


@pytest.fixture
def face(cast: Cast, card_key: Path) -> CardFace:
    factory.card(cast, cast.ada, on=ON)
    return queries.face(queries.cards().get(), on=ON)


class TestSize:
    """The largest type in which a text fits its box."""

    @pytest.mark.parametrize(
        ("text", "expected"),
        [
            ("Ada Crew", 15),
            ("Bartholomew Montgomery", 9),
            ("Maximiliana Featherstonehaugh-Cholmondeley", 7),
        ],
    )
    def test_shrinks_step_by_step(self, text: str, expected: float) -> None:
        """Long names take smaller type, down to a floor."""
        assert pdf._size("holder", text)[0] == expected

    def test_gives_the_name_what_the_others_leave(self) -> None:
        """A short issuer and a short scheme leave room for larger letters."""
        texts = {"issuer": "Body", "scheme": "Bonds", "holder": "Maximiliana Featherstonehaugh-Cholmondeley"}
        assert pdf._sizes(texts)["holder"] == "pt-100"
        assert pdf._sizes({**texts, "scheme": "Cathodic-protection leads by pin brazing"})["holder"] == "pt-80"

    @pytest.mark.parametrize(
        ("box", "text", "sentence"),
        [
            ("holder", "Wolfeschlegelsteinhausenbergerdorffwelche", "name of the holder is too long"),
            ("holder", "Anna Maria " * 20, "name of the holder is too long"),
            ("scope", "All bonds of every kind. " * 20, "scope is too long"),
            ("limits", "Not here, nor there. " * 40, "text of the limits is too long"),
            ("holder", "山田太郎", "typeface of the card has no"),
        ],
    )
    def test_then_refuses(self, box: str, text: str, sentence: str) -> None:
        """The sentence names what is too long or cannot be written."""
        with pytest.raises(CannotPrint, match=sentence):
            pdf._size(box, text)


class TestRender:
    """Two pages or a sentence."""

    def test_fits_when_every_box_is_full(self, face: CardFace) -> None:
        """The fullest texts that the boxes allow still make two pages."""
        full = {"scope": "Fixing leads to pipes and tanks, ", "limits": "Not inside closed spaces, not when wet. "}
        for name, sentence in full.items():
            count = 1
            while True:
                try:
                    pdf._size(name, sentence * (count + 1))
                except CannotPrint:
                    break
                count += 1
            face = replace(face, **{name: (sentence * count).strip()})
        face = replace(face, holder="Maria da Conceição Albuquerque Vasconcelos de Sousa Figueiredo")
        face = replace(
            face, scheme="Cathodic-protection leads by pin brazing", issuer="Northern Board of Bonding Practice"
        )
        assert pdf.render(face).startswith(b"%PDF")

    @pytest.mark.parametrize("standing", [Standing.SUSPENDED, Standing.WITHDRAWN, Standing.REPLACED, Standing.LAPSED])
    def test_refuses_a_card_that_does_not_hold(self, face: CardFace, standing: Standing) -> None:
        """Nobody prints what must not be shown."""
        with pytest.raises(CannotPrint, match="not printed as it stands"):
            pdf.render(replace(face, standing=standing, reason="Suspended."))

    def test_refuses_a_name_too_long_for_the_code(self, face: CardFace) -> None:
        """Before the modules get too small for a camera."""
        with pytest.raises(CannotPrint, match="code of"):
            pdf._code(replace(face, holder="Ω" * 100))
        with pytest.raises(CannotPrint, match="code of"):
            pdf._code(replace(face, holder="Ω" * 120))

    def test_escapes_what_is_typed(self, face: CardFace) -> None:
        """A name is text, whatever it looks like."""
        assert pdf.render(replace(face, holder="<img src=file:/etc/hostname>")).startswith(b"%PDF")

    def test_refuses_texts_that_run_over(self) -> None:
        """What no box measures is still counted in pages."""
        words = "<p>word</p>" * 60
        with pytest.raises(CannotPrint, match="too long for a card"):
            pdf._sides(f"<html lang=en><title>x</title><body>{words}</body></html>", {})
