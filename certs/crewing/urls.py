"""Plans of who goes to which job."""

from django.urls import path

from certs.crewing import views

app_name = "crewing"

urlpatterns = [
    path("", views.index, name="index"),
    path("<uuid:pk>/", views.plan, name="plan"),
    path("<uuid:pk>/advance/", views.advance, name="advance"),
    path("<uuid:pk>/stop/", views.stop, name="stop"),
    path("<uuid:pk>/resume/", views.resume, name="resume"),
    path("<uuid:pk>/change/", views.change, name="change"),
    path("<uuid:pk>/accept/", views.accept, name="accept"),
    path("<uuid:pk>/take-back/", views.take_back, name="take_back"),
    path("<uuid:pk>/throw-away/", views.throw_away, name="throw_away"),
]
