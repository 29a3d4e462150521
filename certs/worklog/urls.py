"""Pages of the work log."""

from django.urls import path

from certs.worklog import views

app_name = "worklog"

urlpatterns = [
    path("", views.index, name="index"),
    path("add/", views.add, name="add"),
    path("received/<uuid:key>/", views.receive, name="receive"),
    path("people/", views.people, name="people"),
    path("confirm/<str:number>/", views.confirm, name="confirm"),
]
