"""Which topics have a page, and whose drills are whose."""

from django.http import Http404

from training.people.models import Person
from training.refreshers.models import Drill
from training.refreshers.queries import Topic, topics


def topic_for(slug: str) -> Topic:
    """Load a topic in use, else raise 404; everyone signed in may refresh any of them."""
    for topic in topics():
        if topic.slug == slug:
            return topic
    raise Http404


def drill_for(person: Person, topic: Topic, number: str) -> Drill:
    """Load a person's own drill of a topic by the number sent, else raise 404."""
    wanted = int(number) if number.isdecimal() and len(number) < 19 else 0
    drill = Drill.objects.filter(person=person, topic=topic.slug, pk=wanted).first()
    if drill is None:
        raise Http404
    return drill
