"""A batch: asked for, printed step by step, stopped and resumed, kept whole or not at all."""

import io
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import uuid4

import pypdf
import pytest
import time_machine
import zxingcpp
from django.core.management import CommandError, call_command
from django.db import IntegrityError, OperationalError
from django.urls import reverse

from certs.batches import operations, queries, rules
from certs.batches.models import Batch, BatchPart
from certs.batches.rules import Progress, State
from certs.cards import operations as cards
from certs.cards.models import Card
from certs.cards.pdf import Layout
from certs.cards.queries import KeyUnavailable
from certs.cards.rules import Step
from tests.cast import AT, ON, Cast, person
from tests.certs import factory
from tests.certs.cards.test_print import pages
from training.ledger.models import Entry
from training.people.rules import Role


@pytest.fixture(autouse=True)
def on_the_day() -> Iterator[None]:
    """The day of the cast: years later its cards have run out, and what has run out is not printed."""
    with time_machine.travel(AT, tick=False):
        yield


@pytest.fixture
def held(cast: Cast, card_key: Path, monkeypatch: pytest.MonkeyPatch) -> list[Card]:
    """Five cards of people of Northmoor, printed two at a step."""
    monkeypatch.setattr(rules, "STEP", 2)
    people = [person(f"p{at}", f"Person {at}", cast.northmoor, Role.CREW) for at in range(5)]
    return [factory.card(cast, one, on=ON) for one in people]


@pytest.fixture
def batch(cast: Cast, held: list[Card]) -> Batch:
    return operations.ask(by=cast.sol, chosen=held, layout=Layout.CARDS, language="", at=AT)


def finish(batch: Batch) -> Batch:
    for _step in range(10):
        batch = operations.advance(batch=batch, at=AT)
    return batch


class TestState:
    """Where a batch is."""

    @pytest.mark.parametrize(
        ("progress", "stopped", "made", "state"),
        [
            (Progress(5, 2, 0), False, False, State.PRINTING),
            (Progress(5, 5, 0), False, False, State.PRINTING),
            (Progress(5, 2, 0), True, False, State.STOPPED),
            (Progress(5, 0, 5), False, False, State.NOTHING),
            (Progress(5, 4, 1), True, True, State.MADE),
        ],
    )
    def test_is_counted(self, progress: Progress, stopped: bool, made: bool, state: State) -> None:
        """From what is printed, refused and waiting."""
        assert rules.state(progress, stopped=stopped, made=made) is state


class TestAsk:
    def test_refuses_none_and_too_many(self, cast: Cast, held: list[Card], monkeypatch: pytest.MonkeyPatch) -> None:
        """With a sentence that says what to do."""
        monkeypatch.setattr(rules, "MOST", 4)
        with pytest.raises(operations.BatchRefused, match="Choose at least one card"):
            operations.ask(by=cast.sol, chosen=[], layout=Layout.TEN, language="", at=AT)
        with pytest.raises(operations.BatchRefused, match="5 cards, and a print holds 4"):
            operations.ask(by=cast.sol, chosen=held, layout=Layout.TEN, language="", at=AT)


class TestAdvance:
    """One step at a time."""

    def test_prints_a_step_and_keeps_it(self, batch: Batch) -> None:
        """Nothing is called made before everything is."""
        operations.advance(batch=batch, at=AT)
        shown = queries.shown(Batch.objects.get(), at=AT)
        assert shown.progress == Progress(asked=5, printed=2, refused=0)
        assert shown.state is State.PRINTING
        assert (shown.batch.made_at, bytes(shown.batch.pdf)) == (None, b"")

    def test_makes_one_print_of_all(self, batch: Batch, held: list[Card]) -> None:
        """In the order asked for, tagged from end to end, each code where its card is; parts are gone."""
        made = finish(batch)
        reader = pypdf.PdfReader(io.BytesIO(bytes(made.pdf)))
        assert (made.pages, len(reader.pages), BatchPart.objects.count()) == (10, 10, 0)
        for at, card in enumerate(held):
            assert card.holder_name in reader.pages[2 * at].extract_text()
        tree = reader.trailer["/Root"]["/StructTreeRoot"]
        numbers = tree["/ParentTree"]["/Nums"]
        assert [numbers[at] for at in range(0, len(numbers), 2)] == list(range(10))
        assert [page["/StructParents"] for page in reader.pages] == list(range(10))
        assert len(tree["/K"][0]["/K"]) == 10
        for each, page in zip(tree["/K"][0]["/K"], reader.pages, strict=True):
            element = each.get_object()
            assert element["/P"] == tree["/K"][0].get_object()
            assert tag_pages(element) == {page.indirect_reference.idnum}
        codes = [zxingcpp.read_barcodes(page)[0].text for page in pages(bytes(made.pdf), 200)[::2]]
        assert len(set(codes)) == 5

    def test_is_written_in_the_ledger(self, batch: Batch, cast: Cast) -> None:
        """Who printed which cards, once."""
        finish(batch)
        entry = Entry.objects.get(act="cards printed")
        assert entry.by == cast.sol.pk
        assert len(entry.about["cards"]) == 5

    def test_names_a_card_that_fails_and_prints_the_rest(self, batch: Batch, held: list[Card], cast: Cast) -> None:
        """A card suspended meanwhile, and a name that is too long."""
        cards.measure(card=held[0], step=Step.SUSPENDED, by=cast.max, reason="Doubt.", on=ON, at=AT)
        Card.objects.filter(pk=held[1].pk).update(holder_name="W" * 110)
        made = finish(batch)
        shown = queries.shown(made, at=AT)
        assert [number for number, _holder, _why in shown.refused] == [held[0].number, held[1].number]
        assert "not printed as it stands" in shown.refused[0][2]
        assert "too long" in shown.refused[1][2]
        assert (shown.state, shown.progress.printed, made.pages) == (State.MADE, 3, 6)

    def test_of_nothing_printable_ends(self, batch: Batch) -> None:
        """Every card refused: there is no print, and it says so."""
        Card.objects.update(holder_name="W" * 110)
        made = finish(batch)
        assert (made.made_at, queries.shown(made, at=AT).state) == (None, State.NOTHING)

    def test_fills_sheets_across_steps(self, cast: Cast, held: list[Card], monkeypatch: pytest.MonkeyPatch) -> None:
        """The second step goes on with the next sheet of paper."""
        monkeypatch.setattr(rules, "STEP", 10)
        more = [factory.card(cast, person(f"q{at}", f"More {at}", cast.northmoor), on=ON) for at in range(7)]
        made = finish(operations.ask(by=cast.sol, chosen=held + more, layout=Layout.TEN, language="es", at=AT))
        texts = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(bytes(made.pdf))).pages]
        assert made.pages == 4
        assert "Front of sheet 1." in texts[0]
        assert "Back of sheet 2." in texts[3]
        assert "Número de tarjeta" in texts[2]

    def test_stops_and_goes_on(self, batch: Batch) -> None:
        """What is printed stays."""
        operations.advance(batch=batch, at=AT)
        operations.stop(batch=batch, at=AT)
        stopped = operations.advance(batch=batch, at=AT)
        assert queries.shown(stopped, at=AT).state is State.STOPPED
        assert queries.progress_of(stopped).printed == 2
        operations.resume(batch=batch)
        assert finish(batch).pages == 10
        assert operations.stop(batch=batch, at=AT).stopped_at is None

    def test_keeps_nothing_of_a_step_that_breaks_off(self, batch: Batch, monkeypatch: pytest.MonkeyPatch) -> None:
        """A full disk or a kill while it is kept: the step is done again, as if it had not been."""
        create = BatchPart.objects.create

        def full(**facts: object) -> None:
            create(**facts)
            raise OperationalError("database or disk is full")

        monkeypatch.setattr(BatchPart.objects, "create", full)
        with pytest.raises(operations.NotKept, match="disk is full"):
            operations.advance(batch=batch, at=AT)
        assert queries.progress_of(batch) == Progress(asked=5, printed=0, refused=0)
        assert BatchPart.objects.count() == 0
        monkeypatch.undo()
        assert finish(batch).pages == 10

    def test_keeps_nothing_when_its_codes_cannot_be_logged(self, batch: Batch, monkeypatch: pytest.MonkeyPatch) -> None:
        """The disk may be full before the first card is drawn: the same sentence."""

        def full(**_facts: object) -> None:
            raise OperationalError("database or disk is full")

        monkeypatch.setattr(operations, "note_codes", full)
        with pytest.raises(operations.NotKept, match="disk is full"):
            operations.advance(batch=batch, at=AT)
        assert queries.progress_of(batch) == Progress(asked=5, printed=0, refused=0)

    def test_done_twice_at_once_counts_once(self, batch: Batch, monkeypatch: pytest.MonkeyPatch) -> None:
        """Whoever comes second finds the step kept and throws their own away."""
        step = operations._step

        def overtaken(batch: Batch, **facts: object) -> object:
            made = step(batch, **facts)  # type: ignore[arg-type]
            monkeypatch.setattr(operations, "_step", step)
            operations.advance(batch=batch, at=AT)
            return made

        monkeypatch.setattr(operations, "_step", overtaken)
        operations.advance(batch=batch, at=AT)
        assert queries.progress_of(batch).printed == 2
        assert BatchPart.objects.count() == 1

    def test_without_a_key_leaves_the_batch_as_it_was(self, batch: Batch, card_key: Path) -> None:
        """It is the site that cannot sign, not the cards that fail."""
        card_key.unlink()
        with pytest.raises(KeyUnavailable):
            operations.advance(batch=batch, at=AT)
        assert queries.progress_of(batch) == Progress(asked=5, printed=0, refused=0)

    def test_tells_of_cards_that_stopped_holding_since(self, batch: Batch, held: list[Card], cast: Cast) -> None:
        """The stack of cards on the desk is not taken for the register."""
        made = finish(batch)
        cards.measure(card=held[3], step=Step.WITHDRAWN, by=cast.max, reason="Fraud.", on=ON, at=AT)
        assert [one.number for one in queries.shown(made, at=AT).changed] == [held[3].number]

    def test_leaves_nothing_when_thrown_away(self, batch: Batch) -> None:
        """But the cards."""
        operations.advance(batch=batch, at=AT)
        operations.throw_away(batch=batch)
        assert (Batch.objects.count(), BatchPart.objects.count(), Card.objects.count()) == (0, 0, 5)


def tag_pages(element: object) -> set[int]:
    """Return the pages that an element of the structure and all below it stand on."""
    found = {element.raw_get("/Pg").idnum} if "/Pg" in element else set()  # type: ignore[operator,attr-defined]
    for kid in element.get("/K", []):  # type: ignore[attr-defined]
        inner = kid.get_object()
        if isinstance(inner, dict):
            found |= tag_pages(inner)
    return found


class TestConstraints:
    def test_a_print_is_made_with_pages(self, batch: Batch) -> None:
        """Half made cannot be told as made."""
        with pytest.raises(IntegrityError):
            Batch.objects.update(made_at=AT)


class TestPages:
    """Choosing, watching, fetching."""

    @pytest.fixture
    def go(self, cast: Cast) -> Callable[..., str]:
        return lambda name, **facts: reverse(f"batches:{name}", kwargs=facts)

    def test_lead_from_the_list_to_the_print(self, cast: Cast, held: list[Card], go: Callable[..., str]) -> None:
        """Without script: tick, press, press again until it is made."""
        client = cast.client("sol")
        page = client.get(go("index")).content.decode()
        assert page.count('name="numbers"') == 5
        typed = {"numbers": [held[0].number, held[2].number], "layout": "cards", "language": "fr"}
        answer = client.post(go("index"), typed, follow=True)
        assert "0 of 2 cards are printed" in answer.content.decode()
        batch = Batch.objects.get()
        assert "not made yet" in client.get(go("pdf", pk=batch.pk), follow=True).content.decode()
        assert "2 of 2 cards are printed" in client.post(go("advance", pk=batch.pk), follow=True).content.decode()
        assert "Made: 2 cards on 4 pages" in client.post(go("advance", pk=batch.pk), follow=True).content.decode()
        sent = client.get(go("pdf", pk=batch.pk))
        assert sent["Content-Type"] == "application/pdf"
        assert "Numéro de carte" in pypdf.PdfReader(io.BytesIO(sent.content)).pages[0].extract_text()
        assert "2 cards, made" in client.get(go("index")).content.decode()

    def test_goes_on_by_itself_without_script(self, cast: Cast, batch: Batch, go: Callable[..., str]) -> None:
        """A browser that runs no script follows the page's own refresh until the print is made; then there is none.

        HTML Living Standard, 4.2.5.3: <meta http-equiv="refresh" content="seconds;url=address">.
        """
        client = cast.client("sol")
        page = client.get(go("batch", pk=batch.pk), {"goes": "on"}).content.decode()
        asked = 0
        while found := re.search(r'<noscript><meta http-equiv="refresh" content="1;url=([^"]+)">', page):
            page = client.get(found[1], follow=True).content.decode()
            asked += 1
        assert "Made: 5 cards on 10 pages" in page
        assert asked == 4
        assert "refresh" not in client.get(go("batch", pk=batch.pk)).content.decode()

    def test_takes_the_whole_list(self, cast: Cast, held: list[Card], go: Callable[..., str]) -> None:
        """Every page of it, whatever is ticked."""
        cast.client("sol").post(go("index"), {"everyone": "on", "layout": "ten"})
        assert Batch.objects.get().cards.count() == 5

    def test_loses_no_tick(self, cast: Cast, held: list[Card], go: Callable[..., str]) -> None:
        """What was chosen is still chosen beside the sentence."""
        page = cast.client("sol").post(go("index"), {"numbers": [held[0].number]}).content.decode()
        assert "Choose what to print onto." in page
        assert page.count(" checked>") >= 1
        assert "Choose at least one card." in cast.client("sol").post(go("index"), {"layout": "ten"}).content.decode()

    def test_refuses_cards_of_others(self, cast: Cast, held: list[Card], go: Callable[..., str]) -> None:
        """A supervisor of another employer neither sees nor prints them, nor opens the print."""
        client = cast.client("rex")
        assert held[0].number not in client.get(go("index")).content.decode()
        client.post(go("index"), {"numbers": [held[0].number], "layout": "ten"})
        assert Batch.objects.count() == 0
        batch = operations.ask(by=cast.sol, chosen=held, layout=Layout.TEN, language="", at=AT)
        assert client.get(go("batch", pk=batch.pk)).status_code == 404
        assert cast.client("sol").get(go("batch", pk=uuid4())).status_code == 404

    def test_closes_when_the_printer_may_no_longer_see_a_card(
        self, cast: Cast, batch: Batch, go: Callable[..., str]
    ) -> None:
        """Whoever moved to another employer leaves the old one's prints behind."""
        cast.sol.employer = cast.elsewhere
        cast.sol.save()
        assert cast.client("sol").get(go("batch", pk=batch.pk)).status_code == 404

    def test_say_what_went_wrong_and_wait(
        self, cast: Cast, batch: Batch, card_key: Path, go: Callable[..., str]
    ) -> None:
        """Without a key the page does not ask again by itself."""
        client = cast.client("sol")
        assert "data-goes-on" not in client.get(go("batch", pk=batch.pk)).content.decode()
        assert "data-goes-on" in client.get(go("batch", pk=batch.pk), {"goes": "on"}).content.decode()
        card_key.unlink()
        page = client.post(go("advance", pk=batch.pk)).content.decode()
        assert "There is no key to sign with" in page
        assert "data-goes-on" not in page

    def test_stop_resume_and_throw_away(self, cast: Cast, batch: Batch, go: Callable[..., str]) -> None:
        """Each by its button."""
        client = cast.client("sol")
        assert "Stopped: 0 of 5" in client.post(go("stop", pk=batch.pk), follow=True).content.decode()
        page = client.post(go("resume", pk=batch.pk), follow=True).content.decode()
        assert "0 of 5 cards are printed." in page
        assert "data-goes-on" in page
        assert "thrown away" in client.post(go("throw_away", pk=batch.pk), follow=True).content.decode()
        assert Batch.objects.count() == 0


class TestCommand:
    """The same from the terminal."""

    def test_writes_one_file(self, cast: Cast, held: list[Card], tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
        """Every card of an employer that is not closed; progress goes to the terminal."""
        file = tmp_path / "cards.pdf"
        Card.objects.filter(pk=held[0].pk).update(holder_name="W" * 110)
        call_command("print_cards", str(file), by="sol", employer="northmoor", layout="cards")
        said = capsys.readouterr()
        assert "4 cards on 8 pages" in said.out
        assert f"Not printed: {held[0].number}" in said.err
        assert "Printing cards: 100%" in said.err
        assert len(pypdf.PdfReader(file).pages) == 8
        assert list(tmp_path.glob("*.part")) == []

    def test_goes_on_after_an_interruption(
        self, cast: Cast, held: list[Card], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Ctrl-C in the second step; the batch named goes on with it, and there is no file before it is whole."""
        file = tmp_path / "cards.pdf"
        advance, count = operations.advance, iter(range(9))

        def interrupted(**facts: object) -> Batch:
            if next(count) == 1:
                raise KeyboardInterrupt
            return advance(**facts)  # type: ignore[arg-type]

        monkeypatch.setattr(operations, "advance", interrupted)
        with pytest.raises(CommandError, match="Go on with: manage"):
            call_command("print_cards", str(file), *[one.number for one in held], by="sol", layout="cards")
        batch = Batch.objects.get()
        assert (file.exists(), queries.progress_of(batch).printed) == (False, 2)
        call_command("print_cards", str(file), batch=str(batch.pk))
        assert len(pypdf.PdfReader(file).pages) == 10

    @pytest.mark.parametrize(
        ("numbers", "options", "sentence"),
        [
            ([], {"by": "nobody-here"}, "Say with --by who prints"),
            ([], {"by": "sol", "employer": "none-such"}, "Choose at least one card"),
            (["FB-0000-0000"], {"by": "sol"}, "has no card FB-0000-0000"),
            ([], {"batch": "x"}, "There is no batch x"),
            ([], {"batch": str(uuid4())}, "There is no batch"),
        ],
    )
    def test_refuses(
        self, cast: Cast, tmp_path: Path, numbers: list[str], options: dict[str, str], sentence: str
    ) -> None:
        """With a sentence."""
        with pytest.raises(CommandError, match=sentence):
            call_command("print_cards", str(tmp_path / "x.pdf"), *numbers, **options)

    def test_says_when_nothing_or_no_key(self, cast: Cast, held: list[Card], card_key: Path, tmp_path: Path) -> None:
        """No file is written."""
        file = tmp_path / "x.pdf"
        Card.objects.update(holder_name="W" * 110)
        with pytest.raises(CommandError, match="Nothing is printed"):
            call_command("print_cards", str(file), held[0].number, by="sol")
        Card.objects.update(holder_name="Ada")
        card_key.unlink()
        with pytest.raises(CommandError, match="There is no key"):
            call_command("print_cards", str(file), held[0].number, by="sol")
        assert not file.exists()
