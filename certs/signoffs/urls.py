"""Pages of the sign-offs room."""

from django.urls import path

from certs.signoffs import views

app_name = "signoffs"

urlpatterns = [
    path("", views.waiting, name="waiting"),
    path("exceptions/<int:pk>/approve/", views.approve, name="approve"),
    path("<uuid:pk>/", views.signoff, name="signoff"),
    path("<uuid:pk>/decide/", views.decide, name="decide"),
    path("<int:person>/<slug:scheme>/", views.sheet, name="sheet"),
    path("<int:person>/<slug:scheme>/exception/", views.exception, name="exception"),
]
