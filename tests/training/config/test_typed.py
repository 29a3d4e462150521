"""A form sent after its session had ended comes back filled in to who had typed it, and to nobody else."""

import ast
import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
from allauth.mfa.totp.internal import auth
from django.conf import settings
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.cast import AT, PASSWORD, Cast
from tests.training.reply import page
from training.config import typed
from training.config.factors import code_now
from training.people.models import Employer, Person

ROOT = Path(__file__).resolve().parents[3]
SAID = "You had been signed out; nothing was saved. Check and send again."
HTML = {"accept": "text/html,application/xhtml+xml"}
SITE = {"act": "site", "site-name": "Depot of the <North> & South"}


@pytest.fixture(autouse=True)
def clock(db: None) -> Iterator[time_machine.Traveller]:
    cache.clear()
    with time_machine.travel(AT, tick=False) as moved:
        yield moved


def come(client: Client, person: Person, **more: str):
    """Sign in by hand, with a code of the app where there is one; return the last answer."""
    answer = client.post("/account/login/", {"login": person.username, "password": PASSWORD, **more}, headers=HTML)
    if answer.headers.get("Location") == "/account/factor/code/":
        held = person.authenticator_set.get(type="totp")
        answer = client.post("/account/factor/code/", {"code": code_now(held)}, headers=HTML)
    return answer


@pytest.fixture
def client(cast: Cast, clock) -> Client:
    """Max's browser, an hour after his last page: his session has ended."""
    auth.TOTP.activate(cast.max, auth.generate_totp_secret())
    made = Client()
    assert come(made, cast.max)["Location"] == "/"
    assert made.get("/people/employers/").status_code == 200
    clock.shift(timedelta(hours=1))
    return made


def send(client: Client, data: dict[str, object] | None = None, url: str = "/people/employers/", **headers: str):
    return client.post(url, data or dict(SITE), headers=HTML | headers)


def sealed(answer) -> str:
    return page(answer).split('name="typed" value="')[1].split('"')[0]


class TestTheSamePerson:
    def test_gets_the_form_back_filled_in_and_not_carried_out(self, cast: Cast, client: Client) -> None:
        answer = send(client, SITE | {"site-employer": cast.northmoor.pk})
        body = page(answer)
        assert "nothing was saved" in body
        assert "Depot" not in body
        assert answer["Cache-Control"].startswith("max-age=0, no-cache, no-store")
        assert come(client, cast.max, typed=sealed(answer))["Location"] == "/people/employers/"
        body = page(client.get("/people/employers/"))
        assert SAID in body
        assert 'value="Depot of the &lt;North&gt; &amp; South"' in body
        assert f'<option value="{cast.northmoor.pk}" selected>' in body
        assert not cast.northmoor.sites.exists()

    def test_gets_it_once(self, cast: Cast, client: Client) -> None:
        come(client, cast.max, typed=sealed(send(client)))
        assert SAID in page(client.get("/people/employers/"))
        again = page(client.get("/people/employers/"))
        assert SAID not in again
        assert "Depot" not in again
        assert "typed" not in client.session

    def test_gets_it_after_a_wrong_password(self, cast: Cast, client: Client) -> None:
        wrong = {"login": "max", "password": "not this one, sorry", "typed": sealed(send(client))}
        answer = client.post("/account/login/", wrong, headers=HTML)
        assert answer.status_code == 200
        assert come(client, cast.max, typed=sealed(answer))["Location"] == "/people/employers/"

    def test_gets_it_when_the_session_was_gone_from_the_browser_too(self, cast: Cast, client: Client) -> None:
        del client.cookies["session"]
        assert come(client, cast.max, typed=sealed(send(client)))["Location"] == "/people/employers/"

    def test_comes_to_the_page_with_the_form_where_it_is_sent_to_another(self, cast: Cast, client: Client) -> None:
        answer = send(client, url=f"/people/{cast.ada.pk}/", referer="http://testserver/people/add/?a=1")
        assert come(client, cast.max, typed=sealed(answer))["Location"] == "/people/add/?a=1"

    @pytest.mark.parametrize(
        "referer", ["https://evil.example/people/add/", "http://testserver//evil.example/", "x", "http://["]
    )
    def test_is_led_to_no_other_site(self, cast: Cast, client: Client, referer: str) -> None:
        answer = send(client, referer=referer)
        assert come(client, cast.max, typed=sealed(answer))["Location"] == "/people/employers/"

    def test_is_asked_for_the_files_again(self, cast: Cast, client: Client) -> None:
        photo = SimpleUploadedFile("a.csv", b"never kept")
        answer = send(client, SITE | {"file": photo})
        come(client, cast.max, typed=sealed(answer))
        assert "Choose your files again." in page(client.get("/people/employers/"))

    def test_reads_it_where_the_form_is_gone(self, cast: Cast, client: Client) -> None:
        answer = send(client, {"reason": "The lamp <failed>"}, url=f"/people/{cast.ada.pk}/")
        come(client, cast.max, typed=sealed(answer))
        Person.objects.filter(pk=cast.ada.pk).delete()
        body = page(client.get(f"/people/{cast.ada.pk}/"))
        assert "The lamp &lt;failed&gt;" in body
        assert "The form is not there any more" in body
        assert SAID not in body
        assert SAID not in page(client.get("/people/"))


class TestAnybodyElse:
    def test_on_the_same_device_sees_nothing_of_it(self, cast: Cast, client: Client) -> None:
        kept = sealed(send(client))
        assert come(client, cast.ada, typed=kept)["Location"] == "/"
        for url in ("/", "/people/employers/", "/people/me/"):
            assert "Depot" not in client.get(url).text
        assert "typed" not in client.session

    def test_is_not_shown_what_waits_for_another(self, cast: Cast, client: Client) -> None:
        """Even if it stood in their session: whom it belongs to is asked again when it is shown."""
        kept, theirs = sealed(send(client)), cast.client("dora")
        session = theirs.session
        session["typed"] = kept
        session.save()
        body = theirs.get("/people/employers/").text
        assert "Depot" not in body
        assert SAID not in body
        assert "typed" not in theirs.session

    def test_starts_again_without_it(self, cast: Cast, client: Client) -> None:
        """Between password and code it waits in the session, and goes with it."""
        kept = sealed(send(client))
        client.post("/account/login/", {"login": "max", "password": PASSWORD, "typed": kept})
        assert "typed" in client.session
        client.post("/account/logout/")
        assert "typed" not in client.session

    def test_cannot_bring_markup_into_the_page_of_sign_in(self, cast: Cast) -> None:
        wrong = {"login": "max", "password": "not this one", "typed": '"><script>alert(1)</script>'}
        body = page(Client().post("/account/login/", wrong, headers=HTML))
        assert "<script>alert" not in body
        assert "&quot;&gt;&lt;script&gt;alert" in body

    def test_cannot_read_the_page_of_sign_in(self, client: Client) -> None:
        answer = send(client)
        assert "Depot" not in answer.text
        assert "North" not in answer.text

    def test_cannot_send_a_form_made_before_they_signed_in(self, cast: Cast) -> None:
        """Why the cookie tells who typed: signing in changes the token of every form there is."""
        both = Client(enforce_csrf_checks=True)
        token = page(both.get("/account/login/")).split('csrfmiddlewaretoken" value="')[1].split('"')[0]
        login = {"login": "ada", "password": PASSWORD, "csrfmiddlewaretoken": token}
        assert both.post("/account/login/", login).status_code == 302
        old = page(both.get("/people/me/")).split('csrfmiddlewaretoken" value="')[1].split('"')[0]
        both.logout()
        token = page(both.get("/account/login/")).split('csrfmiddlewaretoken" value="')[1].split('"')[0]
        both.post("/account/login/", {"login": "ben", "password": PASSWORD, "csrfmiddlewaretoken": token})
        answer = both.post("/people/me/", {"language": "fr", "csrfmiddlewaretoken": old}, headers=HTML)
        assert answer.status_code == 403

    def test_who_knows_no_person_gets_the_sign_in_page_alone(self, cast: Cast) -> None:
        assert send(Client())["Location"].startswith("/account/login/")
        forged = Client()
        forged.cookies[settings.WHO_COOKIE_NAME] = f"{cast.max.pk}:forged"
        assert send(forged)["Location"].startswith("/account/login/")

    def test_gets_nothing_after_a_sign_out(self, cast: Cast, client: Client) -> None:
        come(client, cast.max)
        client.post("/account/logout/")
        assert not client.cookies[settings.WHO_COOKIE_NAME].value
        assert send(client)["Location"].startswith("/account/login/")

    def test_makes_nothing_of_a_changed_or_an_old_one(self, cast: Cast, client: Client, clock) -> None:
        kept = sealed(send(client))
        for other in (kept[:-4] + "AAAA", "", "é", "\ud800", "{}", kept[:-1]):
            assert typed._opened(other) is None
        clock.shift(timedelta(hours=12, seconds=1))
        assert come(client, cast.max, typed=kept)["Location"] == "/"


def token(answer) -> str:
    return page(answer).split('csrfmiddlewaretoken" value="')[1].split('"')[0]


class TestAnOldTab:
    """A form of before its person signed in again: signing in changes the token, and Django refuses the old one."""

    PAGE = "/people/employers/"

    def enter(self, client: Client, person: Person) -> None:
        word = token(client.get("/account/login/"))
        answer = come(client, person, csrfmiddlewaretoken=word)
        if answer.status_code == 403:  # the code, which has a form of its own
            code = {"code": code_now(person.authenticator_set.get(type="totp"))}
            word = token(client.get("/account/factor/code/"))
            answer = client.post("/account/factor/code/", code | {"csrfmiddlewaretoken": word}, headers=HTML)
        assert answer.status_code == 302

    @pytest.fixture
    def tab(self, cast: Cast, clock) -> tuple[Client, dict[str, object]]:
        """Max's browser an hour after his last page, and what he typed into it."""
        auth.TOTP.activate(cast.max, auth.generate_totp_secret())
        made = Client(enforce_csrf_checks=True)
        self.enter(made, cast.max)
        old = SITE | {"site-employer": cast.northmoor.pk, "csrfmiddlewaretoken": token(made.get(self.PAGE))}
        clock.shift(timedelta(hours=1))
        return made, old

    def test_gives_the_form_back_to_the_same_person(self, cast: Cast, tab) -> None:
        client, old = tab
        self.enter(client, cast.max)
        answer = client.post(self.PAGE, old, headers=HTML)
        assert (answer.status_code, answer["Location"]) == (302, self.PAGE)
        body = page(client.get(self.PAGE))
        assert SAID in body
        assert 'value="Depot of the &lt;North&gt; &amp; South"' in body
        assert not cast.northmoor.sites.exists()

    def test_gives_nothing_to_another_and_says_what_to_do(self, cast: Cast, tab) -> None:
        client, old = tab
        self.enter(client, cast.dora)
        answer = client.post(self.PAGE, old, headers=HTML)
        assert answer.status_code == 403
        body = page(answer)
        assert "This page is too old to be sent" in body
        assert f'<a class="btn btn-primary" href="{self.PAGE}">Open the page anew</a>' in body
        assert "Depot" not in body
        assert "Depot" not in client.get(self.PAGE).text
        assert "typed" not in client.session

    def test_gives_nothing_after_a_sign_out_or_for_a_token_of_nobody(self, cast: Cast, tab, clock) -> None:
        client, old = tab
        self.enter(client, cast.max)
        for wrong in ("", "a" * 32, "b" * 64, "é" * 64, old["csrfmiddlewaretoken"][:-1]):
            assert client.post(self.PAGE, old | {"csrfmiddlewaretoken": wrong}, headers=HTML).status_code == 403
        client.post("/account/logout/", {"csrfmiddlewaretoken": token(client.get("/people/me/"))})
        clock.shift(timedelta(minutes=1))  # a code is good once
        self.enter(client, cast.max)
        assert client.post(self.PAGE, old, headers=HTML).status_code == 403
        assert "typed" not in client.session

    def test_keeps_no_form_with_a_password(self, cast: Cast, tab) -> None:
        client, old = tab
        self.enter(client, cast.max)
        assert client.post(self.PAGE, old | {"password": PASSWORD}, headers=HTML).status_code == 403
        assert "typed" not in client.session

    def test_of_the_sign_in_page_says_who_is_signed_in(self, cast: Cast, tab) -> None:
        client, _old = tab
        word = token(client.get("/account/login/"))
        self.enter(client, cast.max)
        answer = come(client, cast.max, csrfmiddlewaretoken=word)
        assert answer.status_code == 403
        body = page(answer)
        assert "This device is signed in as Max Administrator, from another tab." in body
        assert '<a class="btn btn-primary" href="/">Go on</a>' in body


class TestWhatIsKept:
    def kept(self, answer) -> dict[str, object]:
        return json.loads(typed._box().decrypt(sealed(answer)))

    def test_is_no_token_and_no_file(self, client: Client) -> None:
        data = SITE | {"csrfmiddlewaretoken": "token", "file": SimpleUploadedFile("a.csv", b"never kept")}
        kept = self.kept(send(client, data))
        assert set(kept["fields"]) == {"act", "site-name"}
        assert "never kept" not in str(kept)

    @pytest.mark.parametrize("name", ["password", "one-password", "confirm_7", "oldpassword"])
    def test_is_nothing_of_a_form_with_a_password(self, client: Client, name: str) -> None:
        assert send(client, SITE | {name: PASSWORD})["Location"].startswith("/account/login/")

    def test_is_no_more_than_64_kb(self, client: Client) -> None:
        assert send(client, {"why": "x" * typed.LARGEST}).status_code == 200
        assert send(client, {"why": "x" * (typed.LARGEST + 1)}).status_code == 302

    def test_is_nothing_a_script_sent(self, client: Client) -> None:
        """A phone keeps what it sends until it is told that it was kept; a page of HTML tells it nothing."""
        for accept in ("application/json", "*/*"):
            answer = client.post("/people/employers/", SITE, headers={"accept": accept})
            assert answer["Location"].startswith("/account/login/")

    def test_is_nothing_of_the_pages_of_sign_in(self, client: Client) -> None:
        assert send(client, {"name": "a"}, url="/account/passkeys/add/").status_code == 302

    def test_no_field_of_a_password_goes_by_another_name(self) -> None:
        """Every PasswordInput of the site, but for the page of a link, which is open and so never kept."""
        names = set()
        for file in (path for app in ("training", "certs") for path in (ROOT / app).rglob("*.py")):
            tree = ast.parse(file.read_text(encoding="utf-8"))
            for one in (node for node in ast.walk(tree) if isinstance(node, ast.Assign)):
                if "PasswordInput" in ast.unparse(one.value):
                    target = one.targets[0]
                    names.add(ast.unparse(target.slice if isinstance(target, ast.Subscript) else target).strip("f'"))
        assert len(names) >= 3
        assert {name for name in names if not any(part in name for part in typed.SECRET)} <= {"again"}


class TestTheCookie:
    def test_is_of_this_site_alone_and_for_no_script(self, client: Client) -> None:
        cookie = client.cookies[settings.WHO_COOKIE_NAME]
        assert (cookie["httponly"], cookie["samesite"], cookie["path"]) == (True, "Lax", "/")
        assert cookie["max-age"] == settings.SESSION_COOKIE_AGE

    def test_is_set_once(self, cast: Cast, client: Client) -> None:
        come(client, cast.max)
        assert settings.WHO_COOKIE_NAME not in client.get("/people/").cookies

    def test_opens_nothing(self, cast: Cast, client: Client) -> None:
        del client.cookies["session"]
        assert client.get("/people/").status_code == 302
        assert Employer.objects.count() == 3
