"""The Django app that holds every table of certification."""

from django.apps import AppConfig


class CertsConfig(AppConfig):
    """Tables under the label `certs`, whichever room defines them."""

    name = "certs"
    default_auto_field = "django.db.models.BigAutoField"
