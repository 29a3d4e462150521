"""The pages of corrections and appeals."""

from django.urls import path

from training.reviews import views

app_name = "reviews"

urlpatterns = [
    path("", views.index, name="index"),
    path("keys/<slug:key>/<int:version>/", views.correct, name="correct"),
    path("corrections/<int:pk>/", views.correction, name="correction"),
    path("corrections/<int:pk>/apply/", views.apply, name="apply"),
    path("corrections/<int:pk>/refuse/", views.refuse, name="refuse"),
    path("papers/<uuid:pk>/", views.paper, name="paper"),
    path("appeals/<int:pk>/", views.appeal, name="appeal"),
    path("appeals/<int:pk>/take/", views.take, name="take"),
    path("appeals/<int:pk>/answer/", views.answer, name="answer"),
]
