"""Questions of a lead that come with the program: name → (title, SQL) for `caskbook query NAME`. A house adds its own in house.yaml."""

from __future__ import annotations

_FAILED = "(json_extract({0}data, '$.result') = 'fail' OR json_extract({0}data, '$.cured_by') IS NOT NULL)"
"""A test that leaked, was cured and passed in one go is a fail, then a pass, as everywhere else. {0}: the table with a dot, or nothing."""

SHIPPED_QUESTIONS: dict[str, tuple[str, str]] = {
    "empty-longest": (
        "Empty casks in the house, those emptied longest ago first",
        'SELECT c.cask, c.type, c.berth, c.state, max(f."end") AS emptied, CAST(julianday(c.as_of) - julianday(max(f."end")) AS INTEGER) AS days'
        " FROM cask c JOIN fill f ON f.cask = c.cask WHERE c.contents = 'empty' AND c.whereabouts = 'here' AND c.form <> 'gone'"
        " GROUP BY c.cask ORDER BY emptied, c.cask",
    ),
    "work-by-month": (
        "Work done, by month and job",
        "SELECT substr(date, 1, 7) AS month, job, count(*) AS entries, count(DISTINCT cask) AS casks, sum(work_minutes) AS minutes"
        " FROM event WHERE stands GROUP BY 1, 2 ORDER BY 1 DESC, 3 DESC, 2",
    ),
    "tests-by-person": (
        "Pressure tests of each person, and how many failed (or leaked until cured)",
        f'SELECT "by" AS person, count(*) AS tests, sum({_FAILED.format("")}) AS failed,'
        f" round(avg({_FAILED.format('')}), 3) AS share FROM event WHERE job = 'test' AND stands GROUP BY 1 ORDER BY 2 DESC, 1",
    ),
    "failed-tests": (
        "Casks by how many tests they failed in all (or leaked in until cured)",
        "SELECT c.cask, c.type, c.state, count(*) AS failed, max(e.date) AS latest FROM cask c JOIN event e ON e.cask = c.cask"
        f" WHERE e.job = 'test' AND e.stands AND {_FAILED.format('e.')} GROUP BY c.cask ORDER BY failed DESC, latest DESC, c.cask",
    ),
    "open-leaks": (
        "Casks with leaks that nobody has closed",
        "SELECT c.cask, c.type, c.berth, c.state, json_extract(l.value, '$.at') AS at, json_extract(l.value, '$.severity') AS severity,"
        " json_extract(l.value, '$.since') AS since FROM cask c, json_each(c.open_leaks) l ORDER BY since, c.cask, at",
    ),
    "loss-by-store": (
        "Loss a year of each store's fills: the mean, with what the wood took at first",
        "SELECT store, count(*) AS fills, round(sum(loss_lpa), 1) AS lpa, round(avg(loss_per_year), 4) AS mean_a_year, round(max(loss_per_year), 4) AS most"
        " FROM fill WHERE loss_per_year IS NOT NULL AND loss_doubt IS NULL GROUP BY 1 ORDER BY mean_a_year DESC, 1",
    ),
    "staves-by-cask": (
        "Casks by how many staves were replaced in them",
        "SELECT c.cask, c.type, c.state, sum(s.value) AS replaced, c.original_stave_share AS first_staves, c.fills_life"
        " FROM cask c, json_each(c.staves_replaced) s GROUP BY c.cask HAVING replaced > 0 ORDER BY replaced DESC, c.cask",
    ),
    "suppliers": (
        "Casks of each supplier: how many, how many gone, and failed (or leaked) a test",
        "SELECT c.supplier, count(*) AS casks, sum(c.form = 'gone') AS gone, sum(EXISTS (SELECT 1 FROM event e WHERE e.cask = c.cask AND e.job = 'test'"
        f" AND e.stands AND {_FAILED.format('e.')})) AS failed FROM cask c GROUP BY 1 ORDER BY casks DESC, 1",
    ),
    "vats": (
        "Vats, with the casks that were filled from them and those that still hold it",
        'SELECT vat, spirit, min(start) AS first, count(*) AS casks, sum("end" IS NULL) AS full, round(sum(litres), 1) AS litres'
        " FROM fill WHERE vat IS NOT NULL GROUP BY 1, 2 ORDER BY first DESC, vat, spirit",
    ),
    "due-by-store": (
        "What is due or blocked, by store and rule",
        "SELECT c.store, d.rule, count(*) AS casks, sum(d.well_past) AS well_past, min(d.since) AS oldest FROM due d JOIN cask c ON c.cask = d.cask"
        " WHERE d.verdict IN ('due', 'blocked') GROUP BY 1, 2 ORDER BY 1, 3 DESC, 2",
    ),
}
