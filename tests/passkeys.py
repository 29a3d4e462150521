"""A passkey as a device hands it over at registration, made without a device."""

import secrets

from allauth.mfa.models import Authenticator
from cryptography.hazmat.primitives.asymmetric.ec import SECP256R1, generate_private_key
from fido2.cose import ES256
from fido2.utils import sha256, websafe_encode
from fido2.webauthn import (
    Aaguid,
    AttestationObject,
    AttestedCredentialData,
    AuthenticatorData,
    CollectedClientData,
)

from training.people.models import Person


def passkey(person: Person, name: str = "My phone") -> Authenticator:
    """Keep a passkey of a person; nobody holds its private half."""
    key = ES256.from_cryptography_key(generate_private_key(SECP256R1()).public_key())
    credential_id = secrets.token_bytes(16)
    held = AttestedCredentialData.create(Aaguid.NONE, credential_id, key)
    data = AuthenticatorData.create(sha256(b"testserver"), AuthenticatorData.FLAG.AT, 0, held)
    client = CollectedClientData.create(type="webauthn.create", challenge=b"law", origin="https://testserver")
    credential = {
        "id": websafe_encode(credential_id),
        "rawId": websafe_encode(credential_id),
        "type": "public-key",
        "response": {
            "clientDataJSON": websafe_encode(client),
            "attestationObject": websafe_encode(AttestationObject.create("none", data, {})),
        },
    }
    facts = {"name": name, "credential": credential}
    return Authenticator.objects.create(user=person, type=Authenticator.Type.WEBAUTHN, data=facts)
