from django.db import migrations

from training.people.operations.sealing import seal, seal_anew, unseal


def close(apps, schema_editor):
    """Seal what older versions kept in the open."""
    seal_anew(seal, apps.get_model("mfa", "Authenticator").objects.using(schema_editor.connection.alias))


def open_again(apps, schema_editor):
    """Give the older version what it can read."""
    seal_anew(unseal, apps.get_model("mfa", "Authenticator").objects.using(schema_editor.connection.alias))


class Migration(migrations.Migration):

    dependencies = [
        ("training", "0017_invitations"),
        ("mfa", "0003_authenticator_type_uniq"),
    ]

    operations = [migrations.RunPython(close, open_again)]
