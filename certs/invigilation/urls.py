"""The pages of invigilation."""

from django.urls import path

from certs.invigilation import views

app_name = "invigilation"
urlpatterns = [
    path("", views.waiting, name="waiting"),
    path("<int:pk>/admit/", views.admit, name="admit"),
    path("<slug:slug>/here/", views.here, name="here"),
]
