"""The site, and one page more that is the frame of every page with nothing in it."""

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import include, path

BARE = '{% extends "base.html" %}{% block content %}<h1>Bare</h1>{% endblock %}'


def bare(request: HttpRequest) -> HttpResponse:
    """Show the frame."""
    return HttpResponse(engines["django"].from_string(BARE).render({}, request))


urlpatterns = [path("bare/", bare), path("", include("training.config.urls"))]
