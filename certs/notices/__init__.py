"""Mail about cards: what runs out, what is to be confirmed, and what was done to a card."""
