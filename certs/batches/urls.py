"""Site map of printing many cards."""

from django.urls import path

from certs.batches import views

app_name = "batches"

urlpatterns = [
    path("", views.index, name="index"),
    path("<uuid:pk>/", views.batch, name="batch"),
    path("<uuid:pk>/cards.pdf", views.pdf, name="pdf"),
    path("<uuid:pk>/next/", views.advance, name="advance"),
    path("<uuid:pk>/going/", views.going, name="going"),
    path("<uuid:pk>/stop/", views.stop, name="stop"),
    path("<uuid:pk>/resume/", views.resume, name="resume"),
    path("<uuid:pk>/throw-away/", views.throw_away, name="throw_away"),
]
