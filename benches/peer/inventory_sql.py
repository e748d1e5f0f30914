"""A general-purpose SQL engine does a small part of the audit: it reads the same file, joins near with far
ends, and makes two comparisons. Takes duckdb where it is installed, else the sqlite3 of the standard library.

    python3 benches/peer/inventory_sql.py PORTS.csv
"""

import sys
import time

JOIN = """
select count(*),
       sum(case when b.far_site || ' ' || b.far_port <> a.site || ' ' || a.port then 1 else 0 end),
       sum(case when cast(b.tx_dbm as double) - cast(a.rx_dbm as double) - cast(a.path_loss_db as double) > 4.24
           then 1 else 0 end)
from ports a join ports b on a.far_site = b.site and a.far_port = b.port
"""


def with_duckdb(path):
    import duckdb

    base = duckdb.connect()
    base.execute("set threads to 2")
    base.execute(
        "create table ports as select * from read_csv(?, header = true, all_varchar = true, null_padding = true,"
        " ignore_errors = true)",
        [path],
    )
    query = JOIN.replace("cast(", "try_cast(")
    return "duckdb", base.execute(query).fetchall()


def with_sqlite(path):
    import csv
    import sqlite3

    base = sqlite3.connect(":memory:")
    with open(path, newline="") as file:
        reader = csv.reader(file)
        heads = next(reader)
        base.execute(f"create table ports ({', '.join(heads)})")
        marks = ", ".join("?" * len(heads))
        rows = (row[: len(heads)] + [""] * (len(heads) - len(row)) for row in reader)
        base.executemany(f"insert into ports values ({marks})", rows)
    base.execute("create index near on ports (site, port)")
    return "sqlite3", base.execute(JOIN).fetchall()


def main():
    start = time.perf_counter()
    try:
        engine, answer = with_duckdb(sys.argv[1])
    except ImportError:
        engine, answer = with_sqlite(sys.argv[1])
    print(f"{engine}: {answer} in {time.perf_counter() - start:.2f} s")


main()
