// The hourly table by Polars: node hourly_polars.mjs long|wide FILE OUT.csv
import pl from 'nodejs-polars';

const [layout, file, out] = process.argv.slice(2);
if (!['long', 'wide'].includes(layout) || !out) {
  console.error('usage: node hourly_polars.mjs long|wide FILE OUT.csv');
  process.exit(2);
}

const { col } = pl;
const timeFormat = '%Y-%m-%d %H:%M:%S';
// Whole milliseconds: a bare number would be taken as a float, and the
// remainder of floats is not exact enough to find the hour.
const minutes = (n) => pl.lit(n * 60_000).cast(pl.Int64);
const time = col('timestamp').str.strptime(pl.Datetime('ms'), timeFormat)
  .cast(pl.Datetime('ms')).cast(pl.Int64).alias('time');

// In order of time, blank cells and readings that are not good left out.
function readings() {
  if (layout === 'long') {
    const schema = { timestamp: pl.Utf8, tag: pl.Categorical, value: pl.Float64, quality: pl.Utf8 };
    return pl.scanCSV(file, { schema, nullValues: ['', 'No Data'] })
      .filter(col('quality').eq(pl.lit('Good')).and(col('value').isNotNull()))
      .select(time, col('tag'), col('value'))
      .sort('time');
  }
  const [, ...tags] = pl.readCSV(file, { nRows: 1, nullValues: ['No Data'] }).columns;
  const schema = { timestamp: pl.Utf8, ...Object.fromEntries(tags.map((tag) => [tag, pl.Float64])) };
  return pl.scanCSV(file, { schema, nullValues: ['', 'No Data'] })
    .select(time, ...tags.map((tag) => col(tag)))
    .sort('time')
    .unpivot(['time'], tags, { variableName: 'tag', valueName: 'value' })
    .filter(col('value').isNotNull());
}

const tagHours = readings()
  .withColumns(
    col('time').minus(col('time').modulo(minutes(60))).alias('hour'),
    col('time').shift(-1).over('tag').alias('next'),
  )
  // own: how long a reading holds in its own hour.
  .withColumns(
    pl.minHorizontal([col('next'), col('time').plus(minutes(15)), col('hour').plus(minutes(60))])
      .minus(col('time')).alias('own'),
  )
  .groupBy(['tag', 'hour'])
  .agg(
    col('value').count().alias('count'),
    col('value').min().alias('lowest'),
    col('value').max().alias('highest'),
    col('own').sum().alias('own'),
    col('value').mul(col('own')).sum().alias('area'),
    col('time').first().alias('first'),
    col('time').last().alias('last'),
    col('value').last().alias('last_value'),
  );

const table = tagHours
  .withColumns(col('tag').cast(pl.Utf8))
  .sort(['tag', 'hour'])
  // carried: how long the last reading of the hour before still holds, up to
  // the first of this one.
  .withColumns(
    col('last').shift(1).over('tag').plus(minutes(15)).alias('until'),
    col('last_value').shift(1).over('tag').fillNull(0).alias('before_value'),
  )
  .withColumns(
    pl.when(col('until').gt(col('hour')))
      .then(pl.minHorizontal([col('until'), col('first')]).minus(col('hour')))
      .otherwise(minutes(0)).alias('carried'),
  )
  .select(
    col('tag'), col('hour').cast(pl.Datetime('ms')), col('count'), col('lowest'), col('highest'),
    col('area').plus(col('before_value').mul(col('carried')))
      .div(col('own').plus(col('carried'))).alias('mean'),
  );

const hourly = await table.collect({ streaming: true });
// strptime turns a time that it cannot read into null.
if (hourly.getColumn('hour').nullCount() > 0) throw new Error(`${file}: a time that is not ${timeFormat}`);
hourly.writeCSV(out, { datetimeFormat: timeFormat });
