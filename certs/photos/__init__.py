"""Photos that belong to a record: received, made anew, and shown to who may see the record."""
