"""A page made anew with what was typed put into it; read back by an independent parser of HTML (tinyhtml5)."""

from collections.abc import Iterator
from html import escape

import pytest
import tinyhtml5
from hypothesis import example, given
from hypothesis import strategies as st

from training.config.refill import refilled

SPACE = "{http://www.w3.org/1999/xhtml}"
PAGE = """<!DOCTYPE html>
<html lang="en"><head><title>A &amp; B</title></head><body>
<form method="get" action="/here/"><input name="words" value="search"></form>
<form method="post" action="/other/"><input name="words" value="other"></form>
<form method="post"><input type="hidden" name="csrfmiddlewaretoken" value="fresh">
  <input type="hidden" name="act" value="one">
<input name="words" value="first"></form>
<form method="post" action=""><input type="hidden" name="csrfmiddlewaretoken" value="fresh">
  <input type="hidden" name="act" value="two"><input type="hidden" name="key" value="of now">
  <input type="text" name="words" value="" class="form-control" required><input type="password" name="secret">
  <textarea name="why" rows="3">
before</textarea>
  <select name="crew"><option value="" selected>none</option>
    <option value="1">One</option>
    <option value="2">Two</option></select>
  <select name="days" multiple><option value="1">Mon</option>
    <option value="2" selected>Tue</option>
    <option value="3">Wed</option></select>
  <input type="checkbox" name="yes" checked>
  <input type="checkbox" name="of" value="a"><input type="checkbox" name="of" value="b">
  <input type="radio" name="how" value="x" checked><input type="radio" name="how" value="y">
  <input name="row" value=""><input name="row" value=""><input type="file" name="photo">
  <button name="go" value="send">Send</button>
</form><p>Café – µΩ</p></body></html>
"""
SENT = {
    "csrfmiddlewaretoken": ["old"],
    "act": ["two"],
    "key": ["of then"],
    "words": ["Ada"],
    "secret": ["no"],
    "why": ["after"],
    "crew": ["2"],
    "days": ["1", "3"],
    "of": ["b"],
    "how": ["y"],
    "row": ["above", "below"],
}


def put(fields: dict[str, list[str]], page: str = "/here/", path: str = "/here/", html: str = PAGE) -> str | None:
    return refilled(html, page=page, path=path, fields=fields)


def entries(html: str, number: int) -> Iterator[tuple[str, str]]:
    """What a browser would send of a form: HTML Standard, 4.10.21.4, constructing the entry list."""
    form = list(tinyhtml5.parse(html).iter(f"{SPACE}form"))[number]
    for one in form.iter():
        tag, name = one.tag.removeprefix(SPACE), one.get("name", "")
        if tag == "input" and one.get("type") in {"checkbox", "radio"}:
            if one.get("checked") is not None:
                yield name, one.get("value", "on")
        elif tag == "input":
            yield name, one.get("value", "")
        elif tag == "textarea":
            yield name, one.text or ""
        elif tag == "select":
            yield from ((name, it.get("value")) for it in one.iter(f"{SPACE}option") if it.get("selected") is not None)


class TestRefilled:
    def test_puts_in_what_was_typed_and_leaves_what_was_not(self) -> None:
        filled = put(SENT)
        assert list(entries(filled, 3)) == [
            ("csrfmiddlewaretoken", "fresh"), ("act", "two"), ("key", "of now"),
            ("words", "Ada"), ("secret", ""), ("why", "after"), ("crew", "2"), ("days", "1"), ("days", "3"),
            ("of", "b"), ("how", "y"), ("row", "above"), ("row", "below"), ("photo", ""),
        ]  # fmt: skip

    def test_chooses_the_form_by_its_hidden_values(self) -> None:
        filled = put({"act": ["one"], "words": ["Ada"]})
        assert ("words", "Ada") in entries(filled, 2)
        assert [number for number in range(4) if ("words", "Ada") in entries(filled, number)] == [2]

    def test_changes_nothing_but_the_form(self) -> None:
        filled, start, end = (
            put(SENT),
            PAGE.index('<form method="post" action="">'),
            "</form><p>Café – µΩ</p></body></html>\n",
        )
        assert filled.startswith(PAGE[:start])
        assert filled.endswith(end)

    @pytest.mark.parametrize("path", ["/nowhere/", "/here/x/"])
    def test_is_none_where_no_form_goes_there(self, path: str) -> None:
        assert put(SENT, path=path) is None

    def test_leaves_the_page_where_nothing_was_typed_for_it(self) -> None:
        """A button alone: there is nothing to give back, and nothing that a page of its own should show."""
        assert put({"act": ["two"], "key": ["a"]}) == PAGE
        assert put({}) == PAGE
        assert put({"act": ["two"], "gone": ["a field that is not there any more"]}) is None

    def test_finds_a_form_that_is_sent_to_another_page(self) -> None:
        assert ("words", "Ada") in entries(put({"words": ["Ada"]}, path="/other/?a=b"), 1)

    @example('"><script>', "</textarea><script>")
    @given(st.text(), st.text(alphabet="</textarea>\"'&;#x3 \n\r\t<script>="))
    def test_makes_no_markup_of_any_text(self, words: str, why: str) -> None:
        """A page has no carriage returns: they are line feeds by the HTML Standard, 13.2.3.5."""
        filled = put({"act": ["two"], "words": [words], "why": [why]})
        assert "<script>" not in filled
        assert escape(words) in filled
        kept = why.replace("\r\n", "\n").replace("\r", "\n")
        assert ("why", kept) in list(entries(filled, 3))
