"""The pages of practice."""

from django.urls import path

from training.practice import views

app_name = "practice"
urlpatterns = [
    path("", views.index, name="index"),
    path("questions/<uuid:pk>/", views.question, name="question"),
    path("<slug:topic>/", views.ask, name="ask"),
]
