import django.db.models.deletion
from django.db import migrations, models
from django.db.models import F


def as_they_were_issued(apps, _schema_editor):
    """Cards issued so far were issued on a practical, and are held since their first day."""
    apps.get_model("certs", "Card").objects.update(ground="practical", held_since=F("valid_from"))


class Migration(migrations.Migration):
    dependencies = [
        ("certs", "0009_batches"),
        ("training", "0001_initial"),
    ]

    operations = [
        migrations.AddField("card", "ground", models.CharField(max_length=10, null=True)),
        migrations.AddField("card", "held_since", models.DateField(null=True)),
        migrations.AddField(
            "card",
            "stands_for",
            models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="stood_in_by",
                to="certs.card",
            ),
        ),
        migrations.RunPython(as_they_were_issued, migrations.RunPython.noop),
    ]
