"""How long the address of a photo holds at the check, and how much of a photo a card carries."""

from datetime import timedelta

# Long enough to compare a face at a gate; an address that is passed on shows nothing afterwards.
SHOWN_FOR = timedelta(minutes=10)
# Far above what is made of any photo, so that nothing else can be kept in its place.
MOST_BYTES = 60_000
