"""Mail about cards over a real server in the language of its reader: every kind of it, in Spanish and in French."""

from datetime import date, timedelta
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.management import call_command

from certs.cards import operations as acts
from certs.cards.rules import Step
from tests.cast import ON, Cast
from tests.certs import factory
from tests.mailbox import Box
from training.people.models import Person

DAY = timedelta(days=1)
END = date(2029, 11, 24)
DUE = date(2027, 5, 25)
# Months as Django's own catalogues write them, which follow the Unicode CLDR.
WORDS = {
    "es": {
        "subject": "Sobre su tarjeta",
        "hello": ["Hola, Ada Crew:", "Sobre sus propias tarjetas:", "Cómo está hoy cada tarjeta:"],
        "last day": ["el último día es el 24 de noviembre de 2029. Puede renovarse desde el 24 de mayo de 2029."],
        "due": ["el trabajo debe confirmarse a más tardar el 25 de mayo de 2027"],
        "stopped": ["el trabajo debía confirmarse a más tardar el 25 de mayo de 2027 y no se confirmó"],
        "issued": ["emitida, válida desde el 25 de noviembre de 2026. Por Olga Assessor."],
        "suspended": ["suspendida el 25 de noviembre de 2026 por Max Administrator. Motivo: A film shows it"],
        "lost": ["Sustituye a la tarjeta perdida.", "sustituida el", "Motivo: Lost on site"],
        "reduced": ["Su alcance es más estrecho que antes. Léalo: Web only."],
        "renewed": ["Motivo: Se emitió una tarjeta nueva."],
    },
    "fr": {
        "subject": "À propos de votre carte",
        "hello": ["Bonjour Ada Crew,", "À propos de vos propres cartes :", "L'état de chaque carte aujourd'hui :"],
        "last day": ["le dernier jour est le 24 novembre 2029. Elle peut être renouvelée à partir du 24 mai 2029."],
        "due": ["le travail est à confirmer au plus tard le 25 mai 2027"],
        "stopped": ["le travail était à confirmer au plus tard le 25 mai 2027 et ne l'a pas été"],
        "issued": ["délivrée, valable à partir du 25 novembre 2026. Par Olga Assessor."],
        "suspended": ["suspendue le 25 novembre 2026 par Max Administrator. Motif : A film shows it"],
        "lost": ["Elle remplace la carte perdue.", "remplacée le", "Motif : Lost on site"],
        "reduced": ["Son domaine est plus étroit qu'avant. Lisez-le : Web only."],
        "renewed": ["Motif : Une nouvelle carte a été délivrée."],
    },
}


def run(on: date) -> None:
    with time_machine.travel(factory.noon(on), tick=False):
        call_command("send_reminders", stdout=StringIO())


@pytest.fixture(params=["es", "fr"])
def words(request: pytest.FixtureRequest, cast: Cast) -> dict[str, Any]:
    """What is expected in the language that Ada has chosen."""
    Person.objects.filter(pk=cast.ada.pk).update(language=request.param)
    cast.ada.refresh_from_db()
    return WORDS[request.param]


def said(box: Box, cast: Cast) -> str:
    """Return the newest mail to Ada, as one line."""
    return " ".join(box.to(cast.ada)[-1].split())


class TestHolder:
    def test_is_told_what_runs_out(self, cast: Cast, box: Box, words: dict[str, Any]) -> None:
        """The supervisor, who chose nothing, is told in English on the same day."""
        factory.card(cast, cast.ada, on=ON, confirm_months=40)
        run(END)
        assert box.subjects(cast.ada) == [words["subject"]]
        assert all(one in said(box, cast) for one in words["hello"] + words["last day"])
        assert "Cards of your crews" in box.subjects(cast.sol)
        assert "the last day is 24 Nov 2029" in box.to(cast.sol)[0]

    def test_is_told_what_is_to_be_confirmed_and_was_not(self, cast: Cast, box: Box, words: dict[str, Any]) -> None:
        """Before the day, and after it."""
        factory.card(cast, cast.ada, on=ON)
        run(DUE - 7 * DAY)
        assert words["due"][0] in said(box, cast)
        run(DUE + DAY)
        assert words["stopped"][0] in said(box, cast)

    def test_is_told_what_was_done(self, cast: Cast, box: Box, words: dict[str, Any]) -> None:
        """Issued, lost, reduced, suspended: the site's words are translated, what somebody wrote is quoted."""
        card = factory.card(cast, cast.ada, on=ON)
        facts: dict[str, Any] = {"by": cast.max, "on": ON, "at": factory.noon(ON)}
        run(ON)
        assert words["issued"][0] in said(box, cast)
        card = acts.replace_lost(card=card, reason="Lost on site", **facts)
        run(ON)
        assert all(one in said(box, cast) for one in words["lost"])
        card = acts.reduce_scope(card=card, scope="Web only.", limits="", reason="Event", **facts)
        run(ON)
        assert words["reduced"][0] in said(box, cast)
        acts.measure(card=card, step=Step.SUSPENDED, reason="A film shows it", **facts)
        run(ON)
        assert words["suspended"][0] in said(box, cast)

    def test_is_told_of_a_renewal_in_the_sites_own_words(self, cast: Cast, box: Box, words: dict[str, Any]) -> None:
        """The reason that the site wrote itself is translated as well."""
        renewed = END - 70 * DAY
        factory.card(cast, cast.ada, on=ON, confirm_months=40)
        factory.card(cast, cast.ada, on=renewed, confirm_months=40)
        run(renewed)
        assert words["renewed"][0] in said(box, cast)


class TestSupervisor:
    @pytest.mark.parametrize(
        ("language", "subject", "words"),
        [
            ("es", "Tarjetas de sus cuadrillas", "Sobre las tarjetas de sus cuadrillas:"),
            ("fr", "Cartes de vos équipes", "À propos des cartes de vos équipes :"),
        ],
    )
    def test_is_told_in_their_own(self, cast: Cast, box: Box, language: str, subject: str, words: str) -> None:
        """And the holder, who chose nothing, in English."""
        Person.objects.filter(pk=cast.sol.pk).update(language=language)
        factory.card(cast, cast.ada, on=ON, confirm_months=40)
        run(END)
        assert box.subjects(cast.sol) == [subject]
        assert words in box.to(cast.sol)[0] and "Ada Crew, Bonds by pin brazing" in box.to(cast.sol)[0]
        assert "the last day is 24 Nov 2029" in box.to(cast.ada)[0]
