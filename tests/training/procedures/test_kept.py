"""What a phone keeps: the same bytes for everyone, with nothing of the person who fetched them."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.contrib.staticfiles import finders

from tests.cast import AT, Cast
from tests.training.procedures.content import module, revised
from tests.training.reply import page
from training.config import offline
from training.procedures import operations

URL = "/procedures/setup/kept/"
STATIC = Path(__file__).resolve().parents[3] / "training" / "static"


@pytest.fixture
def site(cast: Cast):
    with time_machine.travel(AT, tick=False):
        operations.load([module()], at=AT)
        yield cast


class TestKept:
    def test_says_all_that_the_procedure_says(self, site):
        body = site.client("ada").get(URL).content.decode()
        for said in (
            "Setting up", "Revision 1, in force from 25 Nov 2026", "How to set up.", "Meter", "No permission",
            "Grind a bright spot", "Never a chain.", "It does not rock.", "common practice, no source",
            "Limits of field repair", 'id="fault-dead"', "come before this page",
        ):  # fmt: skip
            assert said in body

    def test_is_the_same_bytes_for_everyone(self, site):
        """Also for people of another employer in another time zone, and after one has read it."""
        site.elsewhere.zone = "Pacific/Auckland"
        site.elsewhere.save()
        answers = {site.client(name).get(URL).content for name in ("ada", "sol", "tess", "max", "quin")}
        site.client("ada").post("/procedures/setup/read/", {"revision": 1})
        answers.add(site.client("ada").get(URL).content)
        assert len(answers) == 1
        body = answers.pop().decode()
        assert "csrf" not in body
        assert "<form" not in body

    def test_is_of_the_revision_asked_for(self, site):
        operations.load([revised()], at=AT)
        client = site.client("ada")
        assert "Revision 1," in client.get(URL, {"revision": 1}).content.decode()
        assert "Revision 2," in client.get(URL).content.decode()
        assert client.get(URL, {"revision": 7}).status_code == 404

    def test_asks_a_visitor_to_sign_in(self, site):
        """Only who may read a procedure may have it kept."""
        assert site.client("nobody").get(URL).status_code == 302


class TestModulePage:
    def test_has_the_revision_in_force_kept(self, site):
        assert f'data-keep="{URL}?revision=1"' in page(site.client("ada").get("/procedures/setup/"))

    def test_has_no_superseded_revision_kept(self, site):
        operations.load([revised()], at=AT)
        body = page(site.client("ada").get("/procedures/setup/?revision=1"))
        assert "data-keep" not in body
        assert "data-drop" not in body

    def test_drops_what_is_out_of_use(self, site):
        operations.load([], at=AT)
        body = page(site.client("ada").get("/procedures/setup/"))
        assert "data-keep" not in body
        assert f'data-drop="{URL}"' in body


class TestShell:
    def test_is_the_same_bytes_for_everyone(self, site):
        """Signed in or not: a phone shows it to whoever picks it up."""
        answers = [site.client(name).get("/offline/") for name in ("nobody", "ada", "sol", "max", "quin")]
        assert {answer.content for answer in answers} == {answers[0].content}
        assert {answer["Cache-Control"] for answer in answers} == {"no-cache"}
        assert "Set-Cookie" not in answers[0].headers
        assert "Ada" not in page(answers[1])


class TestWorker:
    def test_may_serve_the_whole_site(self, site):
        """Service Workers (W3C), 'Service-Worker-Allowed' and the check of the script's type (from memory)."""
        answers = [site.client(name).get("/sw.js") for name in ("nobody", "ada")]
        assert {answer.content for answer in answers} == {answers[0].content}
        assert answers[0]["Content-Type"] == "text/javascript; charset=utf-8"
        assert answers[0]["Service-Worker-Allowed"] == "/"

    def test_keeps_every_file_that_its_pages_ask_for(self, site):
        """Its files, and the typefaces of latin text."""
        shell = self.shell(site)
        pages = "".join(site.client("nobody").get(address).text for address in shell["pages"])
        asked = re.findall(r'(?:href|src|data-[a-z-]+)="(/static/[^"]+)"', pages)
        sheet = (STATIC / "training" / "ferrule.css").read_text(encoding="utf-8")
        fonts = re.findall(r'url\("(fonts/[\w-]+-latin\.woff2)"\)', sheet)
        assert len(fonts) == 3
        assert set(asked) | {f"/static/training/{font}" for font in fonts} == set(shell["files"])

    def test_is_another_when_a_file_changes(self, site, tmp_path, monkeypatch):
        """A browser fetches the files again when the worker's bytes differ."""
        before = self.shell(site)["digest"]
        for name in (*offline.FILES, "training/sw.js"):
            copy = tmp_path / name
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(Path(str(finders.find(name))).read_bytes())
        monkeypatch.setattr("training.config.offline._source", tmp_path.joinpath)
        assert self.shell(site)["digest"] == before
        (tmp_path / "training" / "ferrule.css").write_text("/* other */", encoding="utf-8")
        assert self.shell(site)["digest"] != before

    @staticmethod
    def shell(site) -> dict[str, Any]:
        """Return the facts at the head of the worker."""
        head = site.client("ada").get("/sw.js").content.decode().splitlines()[0]
        return json.loads(head.removeprefix("const shell = ").removesuffix(";"))
