"""The pages where procedures are amended."""

from django.urls import path

from training.amendments import views

app_name = "amendments"

urlpatterns = [
    path("", views.index, name="index"),
    path("modules/<slug:slug>/begin/", views.begin, name="begin"),
    path("modules/<slug:slug>/procedure.toml", views.toml, name="toml"),
    path("<int:pk>/", views.amendment, name="amendment"),
    path("<int:pk>/parts/", views.parts, name="parts"),
    path("<int:pk>/steps/", views.add, name="add"),
    path("<int:pk>/steps/<slug:slug>/", views.step, name="step"),
    path("<int:pk>/steps/<slug:slug>/move/", views.move, name="move"),
    path("<int:pk>/steps/<slug:slug>/remove/", views.remove, name="remove"),
    path("<int:pk>/preview/", views.preview, name="preview"),
    path("<int:pk>/propose/", views.propose, name="propose"),
    path("<int:pk>/back/", views.back, name="back"),
    path("<int:pk>/discard/", views.discard, name="discard"),
    path("<int:pk>/approve/", views.approve, name="approve"),
    path("<int:pk>/refuse/", views.refuse, name="refuse"),
    path("<int:pk>/again/", views.again, name="again"),
]
