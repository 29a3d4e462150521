"""The site map with the pages of drafts, whether or not the real one has them yet."""

from django.urls import include, path

from training.config.urls import urlpatterns as real

urlpatterns = [path("write/", include("training.drafts.urls")), *real]
