
import django.db.models.deletion
import django.db.models.expressions
import stash.fields
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('projects', '0003_audition'),
        ('stash', '0002_by_eye_and_one_light'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='SquareSet',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('side', stash.fields.LengthField(default=40640)),
                ('seam', stash.fields.LengthField(default=2032)),
                ('border', stash.fields.LengthField(default=0)),
                ('rows', models.PositiveSmallIntegerField()),
                ('columns', models.PositiveSmallIntegerField()),
                ('limit_low', models.FloatField(blank=True, null=True)),
                ('limit_high', models.FloatField(blank=True, null=True)),
                ('attempt', models.PositiveIntegerField(default=0)),
                ('before', models.JSONField(blank=True, default=list)),
                ('swaps', models.JSONField(blank=True, default=list)),
                ('removed_at', models.DateTimeField(blank=True, null=True)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('owner', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('project', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='square_sets', to='projects.project')),
            ],
            options={
                'ordering': ['-created_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='LaidSquare',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField()),
                ('is_locked', models.BooleanField(default=False)),
                ('pile', models.CharField(blank=True, choices=[('light', 'light'), ('medium', 'medium'), ('dark', 'dark')], max_length=6)),
                ('fabric', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='laid_squares', to='stash.fabric')),
                ('piece', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='laid_squares', to='stash.piece')),
                ('squares', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='laid', to='projects.squareset')),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='squareset',
            constraint=models.CheckConstraint(condition=models.Q(('name', ''), _negated=True), name='squares_have_name'),
        ),
        migrations.AddConstraint(
            model_name='squareset',
            constraint=models.CheckConstraint(condition=models.Q(('columns__gte', 1), ('rows__gte', 1)), name='squares_have_grid'),
        ),
        migrations.AddConstraint(
            model_name='squareset',
            constraint=models.CheckConstraint(condition=models.Q(('border__gte', 0), ('seam__gt', 0), ('side__gt', django.db.models.expressions.CombinedExpression(models.Value(2), '*', models.F('seam')))), name='squares_size_possible'),
        ),
        migrations.AddConstraint(
            model_name='squareset',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('limit_high__isnull', True), ('limit_low__isnull', True)), models.Q(('limit_high__lte', 10), ('limit_low__gte', 0), ('limit_low__lte', models.F('limit_high'))), _connector='OR'), name='squares_limits_in_scale'),
        ),
        migrations.AddConstraint(
            model_name='laidsquare',
            constraint=models.CheckConstraint(condition=models.Q(('pile__in', ['', 'light', 'medium', 'dark'])), name='laid_pile_known'),
        ),
    ]
