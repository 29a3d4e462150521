"""How long a mail is waited for, tried again and kept."""

from datetime import timedelta

# How many seconds an answer waits for a mail server that says nothing.
PATIENCE_S = 3
# By then whoever took a mail to send it has sent it, or died.
AGAIN_AFTER = timedelta(minutes=5)
# Older news would only puzzle; and no text is kept longer.
GIVEN_UP_AFTER = timedelta(days=3)
