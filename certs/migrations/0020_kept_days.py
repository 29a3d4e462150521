"""Days that follow from the facts of a card, kept beside them: worked out here for the cards that are there."""

from django.db import migrations, models
from django.db.models import F, Max, Min, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce, Greatest


class MonthsBefore(models.Func):
    """The same day so many months earlier, clipped to the month's end."""

    output_field = models.DateField()

    def as_sqlite(self, compiler, connection, **extra):
        """Take the months off; `floor` clips where SQLite would run on into the next month."""
        template = "date(%(expressions)s || ' months', 'floor')"
        return self.as_sql(compiler, connection, template=template, arg_joiner=", '-' || ", **extra)

    def as_postgresql(self, compiler, connection, **extra):
        """Take the months off; an interval of months clips by itself."""
        template = "(%(expressions)s * interval '1 month')::date"
        return self.as_sql(compiler, connection, template=template, arg_joiner=' - ', **extra)


def keep(apps, schema_editor):
    Card = apps.get_model('certs', 'Card')
    Confirmation = apps.get_model('certs', 'Confirmation')
    Measure = apps.get_model('certs', 'Measure')
    # One that came too late counts only where unconfirmed work merely warns.
    counts = Q(due_on__gte=F('on')) | Q(card__unconfirmed='warns')
    confirmed = Confirmation.objects.filter(card=OuterRef('pk'), doubts=False).order_by()
    counted = confirmed.filter(counts).values('card').annotate(found=Max('next_due_on')).values('found')
    last = confirmed.values('card').annotate(found=Max('on')).values('found')
    newer = Q(valid_from__gt=OuterRef('valid_from')) | Q(valid_from=OuterRef('valid_from'), pk__gt=OuterRef('pk'))
    next_ones = Card.objects.filter(newer, person=OuterRef('person'), scheme=OuterRef('scheme')).order_by('valid_from')
    taken = Measure.objects.filter(card=OuterRef('pk')).order_by()
    Card.objects.update(
        renew_from=MonthsBefore('last_day', 'renew_months'),
        confirm_next=Greatest('confirm_by', Coalesce(Subquery(counted), 'confirm_by')),
        confirmed_on=Subquery(last),
        followed_on=Subquery(next_ones.values('valid_from')[:1]),
        measured_on=Subquery(taken.values('card').annotate(found=Min('on')).values('found')),
    )


class Migration(migrations.Migration):

    dependencies = [
        ('certs', '0019_offered_visits'),
    ]

    operations = [
        migrations.AddField(
            model_name='card',
            name='renew_from',
            field=models.DateField(null=True, verbose_name='renewal opens on'),
        ),
        migrations.AddField(
            model_name='card',
            name='confirm_next',
            field=models.DateField(null=True, verbose_name='work next to be confirmed by'),
        ),
        migrations.AddField(
            model_name='card',
            name='confirmed_on',
            field=models.DateField(blank=True, null=True, verbose_name='work last confirmed on'),
        ),
        migrations.AddField(
            model_name='card',
            name='measured_on',
            field=models.DateField(blank=True, null=True, verbose_name='first measure on'),
        ),
        migrations.AddField(
            model_name='card',
            name='followed_on',
            field=models.DateField(blank=True, null=True, verbose_name='followed by another on'),
        ),
        migrations.RunPython(keep, migrations.RunPython.noop),
        migrations.AlterField(
            model_name='card',
            name='renew_from',
            field=models.DateField(verbose_name='renewal opens on'),
        ),
        migrations.AlterField(
            model_name='card',
            name='confirm_next',
            field=models.DateField(verbose_name='work next to be confirmed by'),
        ),
        migrations.RemoveIndex(
            model_name='card',
            name='certs_card_of_a_day',
        ),
        migrations.AddIndex(
            model_name='card',
            index=models.Index(fields=['person', 'scheme', 'valid_from', 'id', 'last_day', 'renew_from', 'confirm_next', 'confirmed_on', 'measured_on', 'followed_on', 'unconfirmed', 'number', 'zone', 'scheme_issue', 'held_since', 'confirm_by'], name='certs_card_of_a_day'),
        ),
        migrations.AddConstraint(
            model_name='card',
            constraint=models.CheckConstraint(condition=models.Q(('confirm_next__gte', models.F('confirm_by'))), name='certs_card_confirmed_onwards', violation_error_message='A confirmation cannot make work due earlier.'),
        ),
        migrations.AddConstraint(
            model_name='card',
            constraint=models.CheckConstraint(condition=models.Q(('followed_on__isnull', True), models.Q(('closed_at__isnull', False), ('followed_on__gte', models.F('valid_from'))), _connector='OR'), name='certs_card_followed_once_closed', violation_error_message='Another card follows one that is closed, and starts no earlier.'),
        ),
        migrations.AddConstraint(
            model_name='card',
            constraint=models.CheckConstraint(condition=models.Q(('renew_from__lte', models.F('last_day'))), name='certs_card_renewed_before_it_ends', violation_error_message='Renewal cannot open after the last day.'),
        ),
        migrations.AddConstraint(
            model_name='card',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('number__contains', '"'), _negated=True), models.Q(('zone__contains', '"'), _negated=True)), name='certs_card_without_quotes', violation_error_message='Neither a card number nor a time zone holds quotation marks.'),
        ),
    ]
