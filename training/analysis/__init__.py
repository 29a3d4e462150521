"""What the answers say about the questions, for those who write and teach them."""
