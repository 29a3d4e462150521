"""Pages of the sign-offs room."""

from django.urls import path

from certs.signoffs.views import records, sheets, signing

app_name = "signoffs"

urlpatterns = [
    path("", records.waiting, name="waiting"),
    path("sign/", signing.to_sign, name="to_sign"),
    path("received/<uuid:pk>/", sheets.receive, name="receive"),
    path("sheets/<uuid:pk>/", signing.filled, name="filled"),
    path("sheets/<uuid:pk>/again/", signing.again, name="again"),
    path("sheets/<uuid:pk>/sheet.pdf", sheets.paper, name="paper"),
    path("sheets/<uuid:pk>/photos/", sheets.add_photo, name="add_photo"),
    path("sheets/<uuid:pk>/photos/<uuid:photo>/", sheets.photo, name="photo"),
    path("rules/<slug:slug>/", records.rule, name="rule"),
    path("exceptions/<int:pk>/approve/", records.approve, name="approve"),
    path("exceptions/<int:pk>/refuse/", records.refuse, name="refuse"),
    path("<uuid:pk>/", records.signoff, name="signoff"),
    path("<uuid:pk>/decide/", records.decide, name="decide"),
    path("<int:person>/<slug:scheme>/", sheets.sheet, name="sheet"),
    path("<int:person>/<slug:scheme>/sheet.pdf", sheets.blank, name="blank"),
    path("<int:person>/<slug:scheme>/exception/", records.exception, name="exception"),
]
