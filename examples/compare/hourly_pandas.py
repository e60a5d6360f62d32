"""The hourly table by pandas: python3 hourly_pandas.py long|wide FILE OUT.csv"""
import sys
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pandas as pd

HOLD = 15 * 60  # seconds
HOUR = 3600


def hourly(values):
    """The hourly table of one tag from its values by time."""
    values = values.dropna()
    if not values.index.is_monotonic_increasing:
        values = values.sort_index(kind="stable")
    time = values.index.to_numpy().astype("datetime64[s]").astype("int64")
    value = values.to_numpy()
    hour = time - time % HOUR
    until = np.minimum(time + HOLD, np.append(time[1:], time[-1:] + HOLD))
    # Seconds that the reading itself holds, and that the one before it still
    # holds into this reading's hour.
    own = np.minimum(until, hour + HOUR) - time
    carried = np.where(time[:-1] < hour[1:], np.maximum(until[:-1] - hour[1:], 0), 0)
    held, area = own.copy(), value * own
    held[1:] += carried
    area[1:] += value[:-1] * carried
    by = pd.DataFrame({"value": value, "held": held, "area": area}).groupby(hour)
    table = by["value"].agg(count="count", lowest="min", highest="max")
    table["mean"] = by["area"].sum() / by["held"].sum()
    table.index = pd.to_datetime(table.index, unit="s").rename("hour")
    return table


def read_long(path):
    """One series a tag. Columns of few distinct words are read as categories,
    so that each time is parsed once and not once a tag."""
    df = pd.read_csv(path, dtype={"timestamp": "category", "tag": "category", "value": "float64", "quality": "category"})
    df = df[df["quality"] == "Good"]
    times = pd.to_datetime(df["timestamp"].cat.categories, format="%Y-%m-%d %H:%M:%S")
    df = df.set_index(times.take(df["timestamp"].cat.codes))
    return {tag: s for tag, s in df.groupby("tag", observed=True)["value"]}


def read_wide(path):
    tags = pd.read_csv(path, nrows=0).columns[1:]
    df = pd.read_csv(path, index_col="timestamp", dtype=dict.fromkeys(tags, "float64"))
    df.index = pd.to_datetime(df.index, format="%Y-%m-%d %H:%M:%S")
    return {tag: df[tag] for tag in tags}


def main():
    if len(sys.argv) != 4 or sys.argv[1] not in ("long", "wide"):
        sys.exit("usage: python3 hourly_pandas.py long|wide FILE OUT.csv")
    layout, path, out = sys.argv[1:]
    series = (read_long if layout == "long" else read_wide)(path)
    with ThreadPoolExecutor() as pool:
        tables = pool.map(hourly, series.values())
    pd.concat(dict(zip(series, tables)), names=["tag"]).sort_index().to_csv(out)


if __name__ == "__main__":
    main()
