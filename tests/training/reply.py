"""Reading an answer of the site in a test."""

from django.http import HttpResponse
from tinyhtml5.parser import HTMLParser


def page(response: HttpResponse) -> str:
    """Return the page's text, once it has proved to be sound HTML of one heading and at most one main button."""
    body = response.content.decode()
    parser = HTMLParser()
    parser.parse(body)
    assert parser.errors == []
    assert body.count("<h1") == 1
    assert body.count("btn-primary") <= 1
    return body
