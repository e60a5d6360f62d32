// The hourly table by DuckDB: node hourly_duckdb.mjs long|wide FILE OUT.csv
import { open } from 'node:fs/promises';
import { DuckDBInstance } from '@duckdb/node-api';

const [layout, file, out] = process.argv.slice(2);
if (!['long', 'wide'].includes(layout) || !out) {
  console.error('usage: node hourly_duckdb.mjs long|wide FILE OUT.csv');
  process.exit(2);
}

const text = (s) => `'${s.replaceAll("'", "''")}'`;

// Every column's type is stated, so that nothing is guessed from a sample.
async function columnTypes() {
  if (layout === 'long') return { timestamp: 'TIMESTAMP', tag: 'VARCHAR', value: 'DOUBLE', quality: 'VARCHAR' };
  const f = await open(file);
  for await (const header of f.readLines()) {
    return Object.fromEntries(header.split(',').map((name, i) => [name, i === 0 ? 'TIMESTAMP' : 'DOUBLE']));
  }
}

const columns = Object.entries(await columnTypes()).map(([name, type]) => `${text(name)}: ${text(type)}`);
const csv = `read_csv(${text(file)}, header = true, auto_detect = false, delim = ',', quote = '"',
  nullstr = ['', 'No Data'], timestampformat = '%Y-%m-%d %H:%M:%S', columns = {${columns.join(', ')}})`;

// UNPIVOT leaves out the blank cells.
const readings = layout === 'long'
  ? `SELECT timestamp, tag, value FROM ${csv} WHERE quality = 'Good' AND value IS NOT NULL`
  : `UNPIVOT ${csv} ON COLUMNS(* EXCLUDE timestamp) INTO NAME tag VALUE value`;

const db = await DuckDBInstance.create(':memory:');
const connection = await db.connect();
await connection.run('SET preserve_insertion_order = false');
await connection.run(`
  COPY (
    WITH readings AS (${readings}),
    -- own: the microseconds that a reading holds in its own hour.
    held AS (
      SELECT tag, timestamp, value, date_trunc('hour', timestamp) AS hour,
        lead(timestamp) OVER (PARTITION BY tag ORDER BY timestamp) AS next,
        epoch_us(least(next, timestamp + INTERVAL 15 MINUTE, hour + INTERVAL 1 HOUR)) - epoch_us(timestamp) AS own
      FROM readings
    ),
    hours AS (
      SELECT tag, hour, count(*) AS count, min(value) AS lowest, max(value) AS highest,
        sum(own) AS own, sum(value * own) AS area,
        min(timestamp) AS first, max(timestamp) AS last, arg_max(value, timestamp) AS last_value
      FROM held GROUP BY tag, hour
    ),
    -- carried: the microseconds that the last reading of the hour before still
    -- holds, up to the first of this one.
    neighbours AS (
      SELECT *, lag(last) OVER tag_hours + INTERVAL 15 MINUTE AS until,
        lag(last_value, 1, 0.0) OVER tag_hours AS before_value,
        CASE WHEN until > hour THEN epoch_us(least(until, first)) - epoch_us(hour) ELSE 0 END AS carried
      FROM hours WINDOW tag_hours AS (PARTITION BY tag ORDER BY hour)
    )
    SELECT tag, hour, count, lowest, highest,
      (area + before_value * carried) / (own + carried) AS mean
    FROM neighbours ORDER BY tag, hour
  ) TO ${text(out)} (FORMAT csv, HEADER, TIMESTAMPFORMAT '%Y-%m-%d %H:%M:%S')`);
