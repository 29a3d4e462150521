from django.http import HttpResponse
from django.urls import include, path


def anything(request, *a, **k):
    return HttpResponse("")


def room(name, *pages):
    return path(f"{name}/", include(([path(p, anything, name=n) for n, p in pages], name)))


urlpatterns = [
    path("", include("certs.cards.urls")),
    path("", include("certs.records.urls")),
    path("board/", include("certs.board.urls")),
    path("style/", anything, name="style"),
    *[path(f"account/{n}/", anything, name=n) for n in ("account_login", "account_logout", "account_change_password")],
    path("procedures/", include("training.procedures.urls")),
    path("papers/", include("training.quizzes.urls")),
    path("schemes/", include("certs.schemes.urls")),
    path("people/", include("training.people.urls")),
    room("signoffs", ("waiting", "waiting/"), ("signoff", "<uuid:pk>/")),
]
