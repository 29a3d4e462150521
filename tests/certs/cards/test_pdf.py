"""What fits on a card, what shrinks, and what is refused with a sentence."""

import io
from dataclasses import replace
from datetime import date
from itertools import combinations, permutations
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image
from pypdfium2.raw import FPDF_PAGEOBJ_TEXT

from certs.cards import pdf, queries
from certs.cards.pdf import CannotPrint, Layout, face, fit, words
from certs.cards.pdf.sheets import sheets
from certs.cards.queries import CardFace
from certs.cards.rules import Standing
from tests.cast import ON, Cast
from tests.certs import factory
from training.ledger.models import Entry
from training.ledger.queries import fault
from training.ledger.rules import read_head
from training.printing.pdf import width
from training.printing.rules import PT


@pytest.fixture
def shown(cast: Cast, card_key: Path) -> CardFace:
    factory.card(cast, cast.ada, on=ON)
    return queries.face(queries.cards().get(), on=ON)


def picture() -> bytes:
    """Return a small grey photo."""
    made = io.BytesIO()
    Image.new("RGB", (70, 90), "grey").save(made, "JPEG")
    return made.getvalue()


PHOTO = picture()
MARK = "123456 9f86d081884c7d65"
FULL = {
    "issuer": "Northern Board of Bonding Practice",
    "scheme": "Cathodic-protection leads by pin brazing",
    "holder": "Maria da Conceição Albuquerque Vasconcelos de Sousa Figueiredo",
}


def filled(shown: CardFace, language: str, sentence: str, *, photo: bytes = b"") -> CardFace:
    """Return a card whose scope and limits are as long as they may be."""
    shown = replace(shown, **FULL)
    for name in ("scope", "limits"):
        count = 1
        while True:
            try:
                face.lay(replace(shown, **{name: sentence * (count + 1)}), mark=MARK, language=language, photo=photo)
            except CannotPrint:
                break
            count += 1
        shown = replace(shown, **{name: sentence * count})
    return shown


class TestLedger:
    def test_is_vouched_for_by_its_mark_on_the_back(self, shown: CardFace):
        """The entry that issued the card; a chain that was made anew does not hold it."""
        entry = Entry.objects.get(act="card issued")
        back = pypdfium2.PdfDocument(pdf.render(shown))[1].get_textpage().get_text_bounded()
        assert f"Ledger entry {entry.seq} {entry.mark[:16]}" in " ".join(back.split())
        assert fault(read_head(f"{entry.seq} {entry.mark[:16]}")) == ""


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
        assert fit.size_of("holder", text).size == expected

    def test_gives_the_name_what_the_others_leave(self) -> None:
        """A short issuer and a short scheme leave room for larger letters."""
        texts = {"issuer": "Body", "scheme": "Bonds", "holder": "Maximiliana Featherstonehaugh-Cholmondeley"}
        assert fit.front(texts)["holder"].size == "pt-100"
        long = {**texts, "scheme": "Cathodic-protection leads by pin brazing"}
        assert fit.front(long)["holder"].size == "pt-80"

    @pytest.mark.parametrize(
        ("box", "text", "sentence"),
        [
            ("holder", "Wolfeschlegelsteinhausenbergerdorffwelche", "name of the holder is too long"),
            ("holder", "Anna Maria " * 20, "name of the holder is too long"),
            ("holder", "محمد عبد الرحمن " * 12, "name of the holder is too long"),
            ("holder", "王小明" * 50, "name of the holder is too long"),
            ("scope", "All bonds of every kind. " * 20, "scope is too long"),
            ("zone", "Time zone " * 10, "name of the time zone is too long"),
            ("holder", "ᚠᚢ", "typefaces of the card have no ᚠ ᚢ"),
        ],
    )
    def test_then_refuses(self, box: str, text: str, sentence: str) -> None:
        """The sentence names what is too long or cannot be written."""
        with pytest.raises(CannotPrint, match=sentence):
            fit.size_of(box, text)

    def test_leaves_the_limits_what_the_fixed_words_do_not_need(self) -> None:
        """A photo takes width from them; too long an issuer takes everything."""
        assert fit.back("Not here. " * 8, "First.", ("One.",), photo=False)[0].size == "pt-75"
        with pytest.raises(CannotPrint, match="text of the limits is too long"):
            fit.back("Not here. " * 80, "First.", ("One.",), photo=True)
        with pytest.raises(CannotPrint, match="issuer is too long for the back"):
            fit.back("", "First.", ("word " * 400,), photo=False)
        with pytest.raises(CannotPrint, match="issuer is too long for the back"):
            fit.back("", "First.", ("w" * 400,), photo=False)


class TestWords:
    """The words that every card carries, in each language."""

    # Columns of card.css in mm, and the type they are set in.
    PLACES = (
        ("number", 600, 6, 44.8),
        ("from", 600, 6, 23),
        ("to", 600, 6, 23),
        ("confirmed", 600, 6, 30.4),
        ("scope", 600, 6, 31),
        ("limits", 600, 6, 76.4),
    )

    @pytest.mark.parametrize("language", list(words.LANGUAGES))
    def test_fit_their_places(self, shown: CardFace, language: str) -> None:
        """No label runs into the next, no day of any month either."""
        laid = face.lay(shown, language=language)
        for name, weight, size, across in self.PLACES:
            assert width(laid.labels[name], weight) * size * PT < across, name
        for month in range(1, 13):
            day = ON.replace(month=month, day=28)
            dated = face.lay(replace(shown, valid_from=day), language=language).days["from"]
            assert width(dated, 700) * 9 * PT < 23, dated

    def test_differ_by_language(self, shown: CardFace) -> None:
        """None was left in English."""
        made = {language: face.lay(shown, language=language) for language in words.LANGUAGES}
        for facts in zip(*(one.labels.values() for one in made.values()), strict=True):
            assert len(set(facts)) >= 2
        assert len({one.caution for one in made.values()}) == 3
        days = [made[each].days["from"] for each in ("en", "es", "fr")]
        assert days == ["25 Nov 2026", "25 nov 2026", "25 nov. 2026"]

    @pytest.mark.parametrize("language", list(words.LANGUAGES))
    def test_leave_no_month_in_doubt(self, shown: CardFace, language: str) -> None:
        """No month is the beginning of another: "jui" could be June or July."""
        year = [replace(shown, last_day=date(2027, month, 1)) for month in range(1, 13)]
        months = [face.lay(one, language=language).days["to"].split()[1] for one in year]
        begun = [one for one, other in permutations(months, 2) if other.startswith(one)]
        assert (len(set(months)), begun) == (12, [])
        assert "jui" not in months

    def test_follow_the_scheme(self, shown: CardFace) -> None:
        """Unless another language is asked for; a scheme in a language without words is printed in English."""
        assert face.lay(replace(shown, language="fr")).language == "fr"
        assert face.lay(replace(shown, language="fr"), language="es").language == "es"
        assert face.lay(replace(shown, language="de")).language == "en"


def ink(made: bytes) -> list[list[tuple[float, float, float, float]]]:
    """Return where text stands on each page, in mm from the lower left: left, bottom, right, top."""
    pages = []
    with pypdfium2.PdfDocument(made) as document:
        for page in document:
            bounds = [each.get_bounds() for each in page.get_objects() if each.type == FPDF_PAGEOBJ_TEXT]
            pages.append([tuple(side * PT for side in each) for each in bounds])
    return pages


def overlap(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    """Say whether two boxes share more than 0.4 mm both ways, which letters of neighbouring lines never do."""
    return all(min(one[at + 2], other[at + 2]) - max(one[at], other[at]) > 0.4 for at in (0, 1))


class TestRender:
    """Two pages or a sentence."""

    @pytest.mark.parametrize("language", list(words.LANGUAGES))
    @pytest.mark.parametrize("photo", [b"", PHOTO], ids=["plain", "photo"])
    @pytest.mark.parametrize(
        "sentence",
        [
            "Not inside closed spaces, not when wet. ",
            "ليس في أماكن مغلقة ولا عند البلل. ",
            "不在封闭空间内,不在潮湿时。",
        ],
        ids=["latin", "arabic", "han"],
    )
    def test_fits_when_every_box_is_full(self, shown: CardFace, language: str, sentence: str, photo: bytes) -> None:
        """The fullest texts that the boxes allow stay inside the frame, and none lies on another."""
        laid = face.lay(filled(shown, language, sentence, photo=photo), mark=MARK, language=language, photo=photo)
        made = pdf.press([laid], Layout.CARDS, title="x")
        assert made.pages == 2
        for page in ink(made.content):
            assert len(page) > 8
            assert all(one[0] >= 4.5 and one[2] <= 81.1 and one[1] >= 2 and one[3] <= 52 for one in page)
            assert not [(one, other) for one, other in combinations(page, 2) if overlap(one, other)]

    @pytest.mark.parametrize("standing", [Standing.SUSPENDED, Standing.WITHDRAWN, Standing.REPLACED, Standing.LAPSED])
    def test_refuses_a_card_that_does_not_hold(self, shown: CardFace, standing: Standing) -> None:
        """Nobody prints what must not be shown."""
        with pytest.raises(CannotPrint, match="not printed as it stands"):
            pdf.render(replace(shown, standing=standing, reason="Suspended."))

    def test_refuses_a_name_too_long_for_the_code(self, shown: CardFace) -> None:
        """Before the modules get too small for a camera."""
        with pytest.raises(CannotPrint, match="code of"):
            face.code(replace(shown, holder="Ω" * 100))
        with pytest.raises(CannotPrint, match="code of"):
            face.code(replace(shown, holder="Ω" * 120))

    def test_escapes_what_is_typed(self, shown: CardFace) -> None:
        """A name is text, whatever it looks like."""
        assert pdf.render(replace(shown, holder="<img src=file:/etc/hostname>")).startswith(b"%PDF")


class TestSheets:
    """Which back lies behind which front."""

    def test_change_columns_on_the_back(self) -> None:
        """Turned over the long edge, left is right: the back of 1 is printed in the right column."""
        ((front, back),) = sheets([1, 2, 3], Layout.TEN)
        assert front == [1, 2, 3]
        assert back == [2, 1, None, 3]

    @pytest.mark.parametrize("layout", [Layout.TEN, Layout.EIGHT])
    def test_put_each_back_behind_its_front(self, layout: Layout) -> None:
        """The place mirrored about the middle of the sheet holds the same card."""
        for front, back in sheets(list(range(27)), layout):
            for at, one in enumerate(front):
                row, column = divmod(at, 2)
                assert back[row * 2 + 1 - column] == one

    def test_print_cards_of_their_own_size_one_by_one(self) -> None:
        """Front, back, front, back."""
        assert list(sheets(["a", "b"], Layout.CARDS)) == [(["a"], ["a"]), (["b"], ["b"])]
