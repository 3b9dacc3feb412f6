import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import stash.fields
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('stash', '0002_draft_piece'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Project',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('note', models.TextField(blank=True, max_length=4000)),
                ('status', models.CharField(choices=[('planned', 'planned'), ('cutting', 'cutting'), ('done', 'done'), ('set aside', 'set aside')], default='planned', max_length=10)),
                ('finished_width', stash.fields.LengthField(blank=True, null=True)),
                ('finished_length', stash.fields.LengthField(blank=True, null=True)),
                ('squaring_up', stash.fields.LengthField(default=8128, verbose_name='squaring-up, each piece')),
                ('shrink', models.DecimalField(decimal_places=1, default=Decimal('3.0'), max_digits=4, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(30)], verbose_name='shrinkage of unwashed cloth (%)')),
                ('reserve', models.DecimalField(decimal_places=1, default=Decimal('0.0'), max_digits=4, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(100)], verbose_name='reserve (%)')),
                ('assumed_width', stash.fields.LengthField(default=341376, verbose_name='usable width to buy')),
                ('increment', models.CharField(choices=[('1/8 yd', '1/8 yd'), ('1/4 yd', '1/4 yd'), ('10 cm', '10 cm'), ('25 cm', '25 cm')], default='1/8 yd', max_length=10, verbose_name='shops cut in steps of')),
                ('seam', stash.fields.LengthField(default=2032, verbose_name='seam allowance')),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('owner', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-created_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='Part',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('background', 'background'), ('feature', 'feature'), ('accent', 'accent'), ('sashing', 'sashing'), ('border', 'border'), ('binding', 'binding'), ('backing', 'backing'), ('batting', 'batting'), ('other', 'other')], default='other', max_length=12)),
                ('number', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('title', models.CharField(blank=True, max_length=80)),
                ('position', models.PositiveIntegerField(default=0)),
                ('want_words', models.CharField(blank=True, max_length=80, verbose_name='colour wanted')),
                ('want_l', models.FloatField(blank=True, null=True)),
                ('want_a', models.FloatField(blank=True, null=True)),
                ('want_b', models.FloatField(blank=True, null=True)),
                ('value_low', models.FloatField(blank=True, null=True, verbose_name='value from')),
                ('value_high', models.FloatField(blank=True, null=True, verbose_name='value to')),
                ('direction_rule', models.CharField(choices=[('follow', 'turn cuts unless the fabric has a direction'), ('never', 'never turn a cut'), ('may', 'cuts may be turned, even in a directional fabric')], default='follow', max_length=8)),
                ('joins_allowed', models.BooleanField(default=True)),
                ('not_needed', models.BooleanField(default=False)),
                ('worked_out', models.JSONField(blank=True, default=list)),
                ('note', models.TextField(blank=True, max_length=2000)),
                ('fabrics', models.ManyToManyField(blank=True, related_name='parts', to='stash.fabric')),
                ('project', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='parts', to='projects.project')),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='CuttingDone',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('act', models.UUIDField(unique=True)),
                ('kind', models.CharField(choices=[('cut', 'cutting done'), ('spoiled', 'mis-cut')], default='cut', max_length=8)),
                ('at', models.DateTimeField(default=django.utils.timezone.now)),
                ('changes', models.JSONField(default=dict)),
                ('summary', models.CharField(blank=True, max_length=200)),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('project', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='acts', to='projects.project')),
            ],
            options={
                'verbose_name_plural': 'cutting done',
                'ordering': ['-at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='Promise',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('length', stash.fields.LengthField(default=0)),
                ('count', models.PositiveIntegerField(default=0)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='promises', to='projects.part')),
                ('piece', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='promises', to='stash.piece')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='Purchase',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('width', stash.fields.LengthField()),
                ('length', stash.fields.LengthField()),
                ('fingerprint', models.CharField(max_length=64)),
                ('bought_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='purchases', to='projects.part')),
                ('piece', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='stash.piece')),
            ],
            options={
                'ordering': ['bought_at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Cut',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=0)),
                ('text', models.CharField(blank=True, help_text='as it was written', max_length=200)),
                ('kind', models.CharField(choices=[('square', 'square'), ('rectangle', 'rectangle'), ('strip across', 'strip across the width'), ('strip along', 'strip along the length')], default='rectangle', max_length=12)),
                ('count', models.PositiveIntegerField()),
                ('done', models.PositiveIntegerField(default=0)),
                ('width', stash.fields.LengthField(blank=True, null=True)),
                ('length', stash.fields.LengthField()),
                ('turn', models.BooleanField(default=True)),
                ('label', models.CharField(blank=True, max_length=120)),
                ('technique', models.CharField(blank=True, max_length=200)),
                ('unit', models.CharField(blank=True, max_length=60)),
                ('unit_role', models.CharField(blank=True, max_length=40)),
                ('finished_width', stash.fields.LengthField(blank=True, null=True)),
                ('finished_length', stash.fields.LengthField(blank=True, null=True)),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='cuts', to='projects.part')),
            ],
            options={
                'ordering': ['position', 'pk'],
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__in', ['square', 'rectangle', 'strip across', 'strip along'])), name='cut_kind_known'), models.CheckConstraint(condition=models.Q(('count__gte', 1), ('done__lte', models.F('count'))), name='cut_done_within_count'), models.CheckConstraint(condition=models.Q(('length__gt', 0), models.Q(models.Q(('kind', 'strip across'), ('width__isnull', True)), ('width__gt', 0), _connector='OR')), name='cut_has_size')],
            },
        ),
        migrations.CreateModel(
            name='Coverage',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('verdict', models.CharField(choices=[('covered', 'covered'), ('short', 'short'), ('undecided', 'undecided')], max_length=10)),
                ('answer', models.JSONField(default=dict)),
                ('fingerprint', models.CharField(max_length=64)),
                ('asked_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('part', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='coverage', to='projects.part')),
            ],
            options={
                'verbose_name_plural': 'coverage',
                'constraints': [models.CheckConstraint(condition=models.Q(('verdict__in', ['covered', 'short', 'undecided'])), name='coverage_verdict_known')],
            },
        ),
        migrations.AddIndex(
            model_name='project',
            index=models.Index(fields=['owner', 'status'], name='project_by_status'),
        ),
        migrations.AddConstraint(
            model_name='project',
            constraint=models.CheckConstraint(condition=models.Q(('name', ''), _negated=True), name='project_has_name'),
        ),
        migrations.AddConstraint(
            model_name='project',
            constraint=models.CheckConstraint(condition=models.Q(('status__in', ['planned', 'cutting', 'done', 'set aside'])), name='project_status_known'),
        ),
        migrations.AddConstraint(
            model_name='project',
            constraint=models.CheckConstraint(condition=models.Q(('increment__in', ['1/8 yd', '1/4 yd', '10 cm', '25 cm'])), name='project_increment_known'),
        ),
        migrations.AddConstraint(
            model_name='project',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('finished_length__isnull', True), ('finished_width__isnull', True)), models.Q(('finished_length__gt', 0), ('finished_width__gt', 0)), _connector='OR'), name='project_finished_both_or_none'),
        ),
        migrations.AddConstraint(
            model_name='project',
            constraint=models.CheckConstraint(condition=models.Q(('assumed_width__gt', models.F('squaring_up')), ('seam__gt', 0), ('squaring_up__gte', 0)), name='project_allowances_possible'),
        ),
        migrations.AddConstraint(
            model_name='project',
            constraint=models.CheckConstraint(condition=models.Q(('reserve__gte', 0), ('reserve__lte', 100), ('shrink__gte', 0), ('shrink__lte', 30)), name='project_percentages_possible'),
        ),
        migrations.AddConstraint(
            model_name='part',
            constraint=models.CheckConstraint(condition=models.Q(('role__in', ['background', 'feature', 'accent', 'sashing', 'border', 'binding', 'backing', 'batting', 'other'])), name='part_role_known'),
        ),
        migrations.AddConstraint(
            model_name='part',
            constraint=models.CheckConstraint(condition=models.Q(('direction_rule__in', ['follow', 'never', 'may'])), name='part_direction_known'),
        ),
        migrations.AddConstraint(
            model_name='part',
            constraint=models.CheckConstraint(condition=models.Q(('number__isnull', True), ('number__gte', 1), _connector='OR'), name='part_number_from_one'),
        ),
        migrations.AddConstraint(
            model_name='part',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('value_low__isnull', True), models.Q(('value_low__gte', 0), ('value_low__lte', 10)), _connector='OR'), models.Q(('value_high__isnull', True), models.Q(('value_high__gte', 0), ('value_high__lte', 10)), _connector='OR'), models.Q(('value_low__isnull', True), ('value_high__isnull', True), ('value_low__lte', models.F('value_high')), _connector='OR')), name='part_value_in_scale'),
        ),
        migrations.AddConstraint(
            model_name='cuttingdone',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ['cut', 'spoiled'])), name='cutting_kind_known'),
        ),
        migrations.AddConstraint(
            model_name='promise',
            constraint=models.UniqueConstraint(fields=('part', 'piece'), name='promise_once_per_part'),
        ),
        migrations.AddConstraint(
            model_name='promise',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('count', 0), ('length__gt', 0)), models.Q(('count__gt', 0), ('length', 0)), _connector='OR'), name='promise_length_or_count'),
        ),
        migrations.AddConstraint(
            model_name='purchase',
            constraint=models.UniqueConstraint(fields=('part', 'fingerprint'), name='purchase_once_per_answer'),
        ),
        migrations.AddConstraint(
            model_name='purchase',
            constraint=models.CheckConstraint(condition=models.Q(('length__gt', 0), ('width__gt', 0)), name='purchase_size'),
        ),
    ]
