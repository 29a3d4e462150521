"""A site with a small pool of questions and one paper."""

from types import ModuleType

import pytest
import time_machine
from django.http import HttpResponse
from django.urls import include, path

from tests.cast import AT, Cast
from tests.training.quizzes.pool import paper, questions
from training.quizzes import operations
from training.quizzes.models import Paper

ELSEWHERE = {
    "records": {"home": "", "person": "records/<int:pk>/"}, "people": {"index": "people/"},
    "procedures": {"index": "procedures/", "module": "procedures/<slug:slug>/"}, "signoffs": {"waiting": "signoffs/"},
    "board": {"grid": "board/"}, "schemes": {"index": "schemes/"}, "cards": {"check": "check/"},
}  # fmt: skip


@pytest.fixture(autouse=True)
def urls(settings):
    """Give the pages their links while other rooms are being built."""
    module = ModuleType("tests_quizzes_urls")
    empty = lambda request, **kwargs: HttpResponse()  # noqa: E731
    module.urlpatterns = [path("papers/", include("training.quizzes.urls"))]
    for room, pages in ELSEWHERE.items():
        patterns = [path(route, empty, name=name) for name, route in pages.items()]
        module.urlpatterns.append(path("", include((patterns, room))))
    module.urlpatterns += [
        path("account/logout/", empty, name="account_logout"),
        path("account/login/", empty, name="account_login"),
    ]
    settings.ROOT_URLCONF = module


@pytest.fixture
def site(cast: Cast):
    """The cast, with questions and a paper loaded, at AT."""
    operations.load_questions(questions(), at=AT)
    operations.load_papers([paper()], at=AT)
    with time_machine.travel(AT, tick=False):
        yield cast


@pytest.fixture
def theory(site: Cast) -> Paper:
    """The paper."""
    return Paper.objects.get()
