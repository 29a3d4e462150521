"""The Django app that holds every table of learning and examination."""

from django.apps import AppConfig


class TrainingConfig(AppConfig):
    """Tables under the label `training`, whichever room defines them."""

    name = "training"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Bring the system checks of the database."""
        from training.keeping import checks  # noqa: F401, PLC0415  models have to be loaded before it
