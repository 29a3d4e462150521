"""Who has a calendar feed."""

from django.db import models

from training.people.models import Person


class CalendarFeed(models.Model):
    """The one feed of a person. Its address holds a secret, of which only a hash is kept: it is shown once."""

    person = models.OneToOneField(Person, models.CASCADE, related_name="calendar_feed")
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.person_id} {self.made_at}"
