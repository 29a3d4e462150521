"""PURE: put what was typed into the form of a page made anew. Only what a person types or chooses is put in."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from html.parser import HTMLParser
from itertools import accumulate
from urllib.parse import urljoin, urlsplit

# Of inputs, those that a person does not fill in, or that must not be filled in for them.
LEFT = {"hidden", "password", "file", "submit", "button", "image", "reset"}
Fields = Mapping[str, Sequence[str]]
Edit = tuple[int, int, str]


@dataclass(slots=True)
class Control:
    """A part of a form, with where its text stands in the page; `inner` is what is inside a textarea."""

    tag: str
    attrs: dict[str, str | None]
    name: str
    start: int
    end: int
    inner: int = 0

    @property
    def kind(self) -> str:
        """The type of an input, as browsers take it."""
        return (self.attrs.get("type") or "text").lower()


@dataclass(slots=True)
class Form:
    """A form of a page and its controls in their order."""

    method: str
    action: str
    controls: list[Control] = field(default_factory=list)

    def told(self) -> Iterator[tuple[str, str]]:
        """Yield the names and values that tell one form of a page from another: hidden ones, and those of buttons."""
        for one in self.controls:
            if one.tag == "button" or (one.tag == "input" and one.kind in {"hidden", "submit"}):
                yield one.name, one.attrs.get("value") or ""

    def typed(self) -> list[Control]:
        """Return the controls that a person fills in."""
        return [one for one in self.controls if one.tag != "button" and not (one.tag == "input" and one.kind in LEFT)]


class Page(HTMLParser):
    """The forms of a page, each control with its place in the text."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=False)
        self.forms: list[Form] = []
        self._inside, self._select, self._area = False, "", False
        self._lines = [0, *accumulate(len(line) for line in html.split("\n")[:-1] for line in (f"{line}\n",))]
        self.feed(html)

    def _here(self) -> int:
        line, column = self.getpos()
        return self._lines[line - 1] + column

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a form, or a control inside one."""
        held = dict(attrs)
        if tag == "form":
            self._inside = True
            self.forms.append(Form((held.get("method") or "get").lower(), held.get("action") or ""))
        elif self._inside and tag in {"input", "textarea", "select", "option", "button"} and "disabled" not in held:
            name = self._select if tag == "option" else held.get("name") or ""
            start = self._here()
            control = Control(tag, held, name, start, start + len(self.get_starttag_text() or ""))
            self.forms[-1].controls.append(control)
            self._select = name if tag == "select" else self._select
            self._area = tag == "textarea"

    def handle_endtag(self, tag: str) -> None:
        """Note where a form or a textarea ends."""
        if tag == "form":
            self._inside = False
        elif tag == "textarea" and self._area:
            self.forms[-1].controls[-1].inner, self._area = self._here(), False


def refilled(html: str, *, page: str, path: str, fields: Fields) -> str | None:
    """Return the page with the form that posts to `path` filled in; None where it has no such form.

    Where nothing was typed, as with a button that stands alone, the page is returned as it is.
    """
    there = [
        one
        for one in Page(html).forms
        if one.method == "post" and urlsplit(urljoin(page, one.action)).path == urlsplit(path).path
    ]
    fits = [one for one in there if any(control.name in fields for control in one.typed())]
    if not fits:
        return html if any(set(fields) <= {name for name, _value in one.told()} for one in there) else None
    chosen = max(fits, key=lambda form: _likeness(form, fields))
    for start, end, text in sorted(_edits(chosen, fields), reverse=True):
        html = f"{html[:start]}{text}{html[end:]}"
    return html


def _likeness(form: Form, fields: Fields) -> tuple[int, int]:
    same = sum(value in fields.get(name, ()) for name, value in form.told())
    return same, len({one.name for one in form.typed()} & set(fields))


def _edits(form: Form, fields: Fields) -> Iterator[Edit]:
    left = {name: list(values) for name, values in fields.items()}
    for one in form.typed():
        values = fields.get(one.name, ())
        if one.tag == "input" and one.kind in {"checkbox", "radio"}:
            yield _switched(one, "checked", on=(one.attrs.get("value") or "on") in values)
        elif one.tag == "option" and values:
            yield _switched(one, "selected", on=(one.attrs.get("value") or "") in values)
        elif one.tag == "textarea" and left.get(one.name):
            # A browser drops one line feed after the tag, so that one is written.
            yield one.end, one.inner, f"\n{escape(left[one.name].pop(0))}"
        elif one.tag == "input" and left.get(one.name):
            yield one.start, one.end, _tag(one, {**one.attrs, "value": left[one.name].pop(0)})


def _switched(one: Control, attribute: str, *, on: bool) -> Edit:
    attrs = {name: value for name, value in one.attrs.items() if name != attribute}
    return one.start, one.end, _tag(one, {**attrs, attribute: None} if on else attrs)


def _tag(one: Control, attrs: Mapping[str, str | None]) -> str:
    words = [name if value is None else f'{name}="{escape(value)}"' for name, value in attrs.items()]
    return f"<{' '.join([one.tag, *words])}>"
