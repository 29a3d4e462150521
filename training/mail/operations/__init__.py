"""Sending mails: `batches` many at night, `waiting` the news of an act, kept until they have left."""

from training.mail.operations.batches import Delivery, Post, deliver
from training.mail.operations.waiting import send_now, send_waiting, write_down

__all__ = ["Delivery", "Post", "deliver", "send_now", "send_waiting", "write_down"]
