"""Taking turns."""

from training.people.models import Person


def locked(person: Person) -> Person:
    """Lock a candidate: two people who act on one candidate at once take turns, and the second sees the first's act."""
    return Person.objects.select_for_update().get(pk=person.pk)
