"""What the pages of corrections and appeals show."""
