"""When cards end and work has to be confirmed, and what that means for crews and trainers."""
