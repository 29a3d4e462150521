"""The pages where calculation questions are written."""

from django.urls import path

from training.drafts import views

app_name = "drafts"

urlpatterns = [
    path("", views.index, name="index"),
    path("new/", views.new, name="new"),
    path("<int:pk>/", views.edit, name="edit"),
    path("<int:pk>/draws/", views.draws, name="draws"),
    path("<int:pk>/discard/", views.discard, name="discard"),
    path("<slug:key>/v<int:version>/", views.version, name="version"),
    path("<slug:key>/v<int:version>.toml", views.toml, name="toml"),
    path("<slug:key>/v<int:version>/revise/", views.revise, name="revise"),
    path("<slug:key>/v<int:version>/retire/", views.retire, name="retire"),
]
