"""What a revised procedure asks of card holders: to read it again, to answer questions about it, and by when."""
