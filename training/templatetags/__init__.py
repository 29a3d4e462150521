"""What templates of every room may call."""
