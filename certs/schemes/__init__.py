"""What a card asks for, and who may train, assess and decide under it."""
