"""How long what is kept, what is held on a person, and erasing it."""
