"""The room's address, beside the site's own."""

from types import ModuleType

import pytest
from django.urls import include, path

from training.config import urls as site


@pytest.fixture(autouse=True)
def urls(settings):
    """Mount the room at /try/ with the rest of the site map."""
    module = ModuleType("tests_trials_urls")
    module.urlpatterns = [path("try/", include("training.trials.urls")), *site.urlpatterns]
    settings.ROOT_URLCONF = module
