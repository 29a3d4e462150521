"""The signed file of a card for its holder to take along, and the lists that say what is still in force."""
