"""What a phone kept and sends later: how it is read, and what it is answered."""
