"""The declared schema: the copy that is kept, what every engine takes without quoting, and nothing of `query` left out without a word."""

from __future__ import annotations

import json
from pathlib import Path

import duckdb
import pytest
from commands import caskbook

from caskbook.export.schema import TABLES, part_fields, schema_data, schema_text
from caskbook.model.query_columns import TABLES as ASKED

ROOT = Path(__file__).parent.parent.parent
# What SQL:2016 reserves and, from SEMI on, what Spark does besides in its ANSI mode: from memory. DuckDB tells its own.
RESERVED = frozenset(
    """ABS ALL ALLOCATE ALTER AND ANY ARE ARRAY AS ASENSITIVE ASYMMETRIC AT ATOMIC AUTHORIZATION AVG BEGIN BETWEEN BIGINT BINARY BLOB BOOLEAN BOTH BY CALL
    CALLED CARDINALITY CASCADED CASE CAST CEIL CHAR CHARACTER CHECK CLASSIFIER CLOB CLOSE COALESCE COLLATE COLLECT COLUMN COMMIT CONDITION CONNECT CONSTRAINT
    CONTAINS CONVERT COPY CORR COUNT CREATE CROSS CUBE CURRENT CURSOR CYCLE DATE DAY DEALLOCATE DEC DECIMAL DECLARE DEFAULT DEFINE DELETE DEREF DESCRIBE
    DETERMINISTIC DISCONNECT DISTINCT DOUBLE DROP DYNAMIC EACH ELEMENT ELSE EMPTY END EQUALS ESCAPE EVERY EXCEPT EXEC EXECUTE EXISTS EXP EXTERNAL EXTRACT
    FALSE FETCH FILTER FLOAT FLOOR FOR FOREIGN FRAME_ROW FREE FROM FULL FUNCTION FUSION GET GLOBAL GRANT GROUP GROUPING GROUPS HAVING HOLD HOUR IDENTITY IN
    INDICATOR INITIAL INNER INOUT INSENSITIVE INSERT INT INTEGER INTERSECT INTERVAL INTO IS JOIN LAG LANGUAGE LARGE LAST_VALUE LATERAL LEAD LEADING LEFT LIKE
    LISTAGG LN LOCAL LOCALTIME LOG LOWER MATCH MATCHES MAX MEASURES MEMBER MERGE METHOD MIN MINUTE MOD MODIFIES MODULE MONTH MULTISET NATIONAL NATURAL NEW NO
    NONE NORMALIZE NOT NULL NUMERIC OF OFFSET OLD OMIT ON ONE ONLY OPEN OR ORDER OUT OUTER OVER OVERLAPS OVERLAY PARAMETER PARTITION PATTERN PER PERCENT
    PERIOD PORTION POSITION POWER PRECEDES PRECISION PREPARE PRIMARY PROCEDURE PTF RANGE RANK READS REAL RECURSIVE REF REFERENCES REFERENCING RELEASE RESULT
    RETURN RETURNS REVOKE RIGHT ROLLBACK ROLLUP ROW ROWS RUNNING SAVEPOINT SCOPE SCROLL SEARCH SECOND SEEK SELECT SENSITIVE SET SHOW SIMILAR SKIP SMALLINT
    SOME SPECIFIC SQL START STATIC SUBMULTISET SUBSET SUBSTRING SUCCEEDS SUM SYMMETRIC SYSTEM TABLE THEN TIME TIMESTAMP TO TRAILING TRANSLATE TREAT TRIGGER
    TRIM TRUE TRUNCATE UESCAPE UNION UNIQUE UNKNOWN UNNEST UNTIL UPDATE UPPER USER USING VALUE VALUES VARBINARY VARCHAR VARYING VERSIONING WHEN WHENEVER WHERE
    WIDTH_BUCKET WINDOW WITH WITHIN WITHOUT YEAR
    SEMI ANTI MINUS INTERVALS LAZY MACRO""".lower().split()
)


def test_the_copy_that_is_kept_is_the_schema_that_is_printed(request: pytest.FixtureRequest) -> None:
    """`pytest tests/export/test_schema.py --golden` writes it anew: a column of `query` and the name of a due rule stand in it."""
    done = caskbook("export", "--schema")
    if request.config.getoption("--golden"):
        (ROOT / "schemas" / "export.json").write_text(done.stdout, encoding="utf-8")
    assert done.returncode == 0 and json.loads(done.stdout) == schema_data()
    assert (ROOT / "schemas" / "export.json").read_text(encoding="utf-8") == schema_text() == done.stdout, "run: pytest tests/export/test_schema.py --golden"


def test_no_engine_has_to_quote_a_name() -> None:
    with duckdb.connect() as engine:
        own = {row[0] for row in engine.execute("SELECT keyword_name FROM duckdb_keywords() WHERE keyword_category <> 'unreserved'").fetchall()}
    names = {one.name for one in TABLES} | {field.name for one in TABLES for field in (*one.fields, *part_fields(one))}
    assert names & (RESERVED | own) == {"year"}, "the folder of events is named so because every engine's documents name it so"
    assert all(name == name.lower() and name.isidentifier() for name in names)


def test_every_column_of_query_is_exported() -> None:
    """A map becomes columns, counts or rows; the day of the table cask is a folder."""
    lacking = {
        f"{name}.{column.name}"
        for name, columns in ASKED.items() for column in columns
        for exported in [next(one for one in TABLES if one.name == name)]
        if column.name not in {field.source.removeprefix("#").partition(".")[0] for field in exported.fields}
    }  # fmt: skip
    assert lacking == {"cask.as_of"}
