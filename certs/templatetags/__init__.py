"""What templates of certs may call."""
