"""Fixed keys and messages for the cases that the Python code and the script share; run as a module to write them anew.

.venv/bin/python -m tests.certs.checking.signing
"""

import base64
import json
from dataclasses import asdict, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import cbor2
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from certs.cards.code import CardCode, key_id, seal, sign1
from certs.checking.code import KeyEntry, KeyList, StatusList, seal_keys, seal_statuses

CASES = Path(__file__).with_name("cases.json")
# RFC 8032, 7.1: the private keys of tests 1, 2 and 3 (from memory); published, so they sign nothing that is real.
ROOT, KEY, OTHER = (
    Ed25519PrivateKey.from_private_bytes(bytes.fromhex(text))
    for text in (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
    )
)
MADE = datetime(2026, 11, 25, 6, 30, tzinfo=UTC)
CARD = CardCode(
    name="Zoë Łukasz",
    number="FB-2345-6789",
    scheme="bonds/1",
    valid_from=date(2026, 11, 25),
    last_day=date(2029, 11, 24),
    confirm_by=date(2027, 5, 25),
    issued_on=date(2026, 11, 25),
    place=5,
)
KEYS = KeyList(
    sequence=3,
    made=MADE,
    keys=(
        KeyEntry(public=KEY.public_key().public_bytes_raw(), signs_from=date(2026, 1, 1), signs_to=date(2028, 1, 1)),
        KeyEntry(
            public=OTHER.public_key().public_bytes_raw(),
            signs_from=date(2024, 1, 1),
            signs_to=date(2026, 6, 1),
            broken_on=date(2026, 5, 1),
        ),
    ),
)
STATUSES = StatusList(sequence=9, made=MADE, good_until=MADE + timedelta(days=7), statuses=bytes([0, 1, 2, 3, 0, 0, 1]))


def public(key: Ed25519PrivateKey) -> bytes:
    return key.public_key().public_bytes_raw()


def raw(text: str) -> bytes:
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def text_of(content: bytes) -> str:
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


def message(payload: bytes, purpose: bytes, key: Ed25519PrivateKey = KEY, **parts: Any) -> str:
    """Sign any payload as a plain reading of RFC 9052, 4.2 and 4.4, says; `head`, `free` and `tag` may be odd."""
    head = parts.get("head", cbor2.dumps({1: -19, 4: key_id(public(key))}))
    signature = key.sign(cbor2.dumps(["Signature1", head, purpose, payload]))
    return text_of(cbor2.dumps(cbor2.CBORTag(parts.get("tag", 18), [head, parts.get("free", {}), payload, signature])))


def said(value: Any) -> Any:
    """Return facts as JSON: days since 1970, seconds, hexadecimal."""
    if isinstance(value, datetime):
        return int(value.timestamp())
    if isinstance(value, date):
        return (value - date(1970, 1, 1)).days
    if isinstance(value, bytes):
        return value.hex()
    if isinstance(value, dict):
        return {name: said(each) for name, each in value.items()}
    return [said(each) for each in value] if isinstance(value, list | tuple) else value


def cases() -> list[dict[str, Any]]:
    """Return every case: what kind of message, its text, and what it says or null where it is refused."""
    card, keys, listed = seal(CARD, KEY), seal_keys(KEYS, ROOT), seal_statuses(STATUSES, KEY)
    good = [
        ("card", "a card", card, CARD),
        (
            "card",
            "a card under another key",
            seal(replace(CARD, name="A", place=70_000), OTHER),
            replace(CARD, name="A", place=70_000),
        ),
        (
            "card",
            "days before 1970",
            seal(replace(CARD, valid_from=date(1, 1, 1)), KEY),
            replace(CARD, valid_from=date(1, 1, 1)),
        ),
        ("keys", "a list of keys", keys, KEYS),
        ("keys", "a list of no keys", seal_keys(replace(KEYS, keys=()), ROOT), replace(KEYS, keys=())),
        ("cards", "a list of cards", listed, STATUSES),
        (
            "cards",
            "a list of no cards",
            seal_statuses(replace(STATUSES, statuses=b""), KEY),
            replace(STATUSES, statuses=b""),
        ),
        ("cards", "a long list", seal_statuses(long_list(), KEY), long_list()),
    ]
    payload = cbor2.loads(raw(card)).value[2]
    facts = list(cbor2.loads(payload).values())
    listed_facts = list(cbor2.loads(cbor2.loads(raw(listed)).value[2]).values())
    key_facts = list(cbor2.loads(cbor2.loads(raw(keys)).value[2]).values())
    bad = [
        ("card", "a list of cards for a card", listed),
        ("cards", "a card for a list of cards", card),
        ("keys", "a list of cards for a list of keys", listed),
        ("keys", "a list of keys of another root", seal_keys(KEYS, KEY)),
        ("card", "a card of an unknown key", seal(CARD, ROOT)),
        ("card", "nothing", ""),
        ("card", "padding", f"{card}="),
        ("card", "too long", card + "A" * 600),
        ("card", "cut off", card[:-4]),
        ("card", "another letter", card[:80] + ("A" if card[80] != "A" else "B") + card[81:]),
        ("card", "another tag", message(payload, b"", tag=98)),
        ("card", "an unprotected header", message(payload, b"", free={4: b"abcd"})),
        ("card", "another algorithm", message(payload, b"", head=cbor2.dumps({1: -8, 4: key_id(public(KEY))}))),
        ("card", "no algorithm", message(payload, b"", head=cbor2.dumps({4: key_id(public(KEY))}))),
        ("card", "a key it names too", message(payload, b"", head=cbor2.dumps({1: -19, 4: key_id(public(KEY)), 5: 1}))),
        ("card", "another version", message(sign1.encode([1, *facts[1:]]), b"")),
        ("card", "true for a day", message(sign1.encode([*facts[:-1], True]), b"")),
        ("card", "a fraction for a day", message(sign1.encode([*facts[:-1], 4.0]), b"")),
        ("card", "a place below zero", message(sign1.encode([*facts[:-1], -1]), b"")),
        ("card", "a day outside the calendar", message(sign1.encode([*facts[:4], 10**8, *facts[5:]]), b"")),
        ("card", "one fact more", message(sign1.encode([*facts, 1]), b"")),
        ("card", "a list for a map", message(cbor2.dumps(facts), b"")),
        ("card", "keys in another order", message(cbor2.dumps(dict(reversed(list(enumerate(facts))))), b"")),
        ("card", "a longer spelling", message(payload.replace(b"\xa9\x00\x02", b"\xa9\x00\x18\x02", 1), b"")),
        ("card", "no text", message(payload.replace("ë".encode(), b"\xff\xff", 1), b"")),
        ("card", "more behind it", message(payload + b"\x00", b"")),
        (
            "cards",
            "a list that unpacks to more",
            message(sign1.encode([*listed_facts[:4], 3, listed_facts[5]]), b"list of cards"),
        ),
        (
            "cards",
            "a list that unpacks to less",
            message(sign1.encode([*listed_facts[:4], 9, listed_facts[5]]), b"list of cards"),
        ),
        (
            "cards",
            "a list of too many",
            message(sign1.encode([*listed_facts[:4], 10**7, listed_facts[5]]), b"list of cards"),
        ),
        (
            "cards",
            "bits behind the last card",
            message(sign1.encode([*listed_facts[:4], 6, listed_facts[5]]), b"list of cards"),
        ),
        ("cards", "what is not packed", message(sign1.encode([*listed_facts[:5], b"\xff\xff"]), b"list of cards")),
        (
            "cards",
            "more behind the packed",
            message(sign1.encode([*listed_facts[:5], listed_facts[5] + b"x"]), b"list of cards"),
        ),
        (
            "cards",
            "packed and cut off",
            message(sign1.encode([*listed_facts[:5], listed_facts[5][:-1]]), b"list of cards"),
        ),
        ("cards", "a bomb", message(sign1.encode([*listed_facts[:4], 4, bomb()]), b"list of cards")),
        ("cards", "number zero", message(sign1.encode([1, 0, *listed_facts[2:]]), b"list of cards")),
        ("cards", "a moment before 1970", message(sign1.encode([1, 9, -1, *listed_facts[3:]]), b"list of cards")),
        ("keys", "a short key", message(sign1.encode([*key_facts[:3], [[b"x", 1, 2, None]]]), b"list of keys", ROOT)),
        ("keys", "a key that is no row", message(sign1.encode([*key_facts[:3], [1]]), b"list of keys", ROOT)),
        (
            "keys",
            "a row too short",
            message(sign1.encode([*key_facts[:3], [[bytes(32), 1, 2]]]), b"list of keys", ROOT),
        ),
        (
            "keys",
            "text for a day",
            message(sign1.encode([*key_facts[:3], [[bytes(32), "1", 2, None]]]), b"list of keys", ROOT),
        ),
        (
            "keys",
            "a day that is none",
            message(sign1.encode([*key_facts[:3], [[bytes(32), 1, 10**8, None]]]), b"list of keys", ROOT),
        ),
        (
            "keys",
            "too many keys",
            message(sign1.encode([*key_facts[:3], [[bytes(32), 1, 2, None]] * 101]), b"list of keys", ROOT),
        ),
        ("keys", "another version", message(sign1.encode([2, *key_facts[1:]]), b"list of keys", ROOT)),
    ]
    return [
        *({"kind": kind, "name": name, "text": text, "says": said(asdict(facts))} for kind, name, text, facts in good),
        *({"kind": kind, "name": name, "text": text, "says": None} for kind, name, text in bad),
    ]


def days_of_keys() -> list[dict[str, Any]]:
    """Return days of issue at both ends of a key's days, and what stands against them: inside, both ends included."""
    first, last, day = date(2026, 1, 1), date(2028, 1, 1), timedelta(days=1)
    sound = [(issued, None, None) for issued in (first, first + day, last)]
    odd = [(first - day, None, "young"), (last + day, None, "late")]
    broken = [(issued, first + 9 * day, "broken") for issued in (first - day, first, last + day)]
    return [
        {**said({"issued_on": issued, "signs_from": first, "signs_to": last}), "broken_on": said(gone), "says": says}
        for issued, gone, says in [*sound, *odd, *broken]
    ]


def long_list() -> StatusList:
    """A list whose payload needs three bytes for its length."""
    return replace(STATUSES, statuses=bytes((place * place // 7) % 4 for place in range(3000)))


def bomb() -> bytes:
    """Ten million zeros in ten thousand bytes."""
    import zlib  # noqa: PLC0415

    packer = zlib.compressobj(9, wbits=-15)
    return packer.compress(bytes(10_000_000)) + packer.flush()


if __name__ == "__main__":
    written = {
        "root": public(ROOT).hex(),
        "keys": {key_id(public(key)).hex(): public(key).hex() for key in (KEY, OTHER)},
        "cases": cases(),
        "days_of_keys": days_of_keys(),
    }
    CASES.write_text(json.dumps(written, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
