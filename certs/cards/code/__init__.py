"""Signed bytes: `sign1` the frame and its signature, `card` what the code of a card says."""

from certs.cards.code.card import CardCode, Unsealed, fragment, seal, unseal
from certs.cards.code.sign1 import CodeRefused, key_id

__all__ = ["CardCode", "CodeRefused", "Unsealed", "fragment", "key_id", "seal", "unseal"]
