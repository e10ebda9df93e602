-- Question: what is due at each site, rule by rule, and since or from which month on?
-- Tables:   asked (asked_day), due. Of each ledger the last exported day up to asked_day counts, and is told as as_of.
-- Unit:     casks; due_month is the year and month of since_on: of what is due or blocked since when, of what is soon
--           due from when on. NULL where no day can be told, as of what is unknown. What is in order (ok) is left out.
WITH told AS (
  SELECT due.ledger, MAX(due.as_of) AS as_of
  FROM due CROSS JOIN asked
  WHERE due.as_of <= asked.asked_day
  GROUP BY due.ledger
)
SELECT due.ledger, due.as_of, SUBSTR(CAST(due.since_on AS STRING), 1, 7) AS due_month, due.rule, due.verdict,
  COUNT(*) AS casks
FROM due JOIN told ON told.ledger = due.ledger AND told.as_of = due.as_of
WHERE due.verdict <> 'ok'
GROUP BY due.ledger, due.as_of, SUBSTR(CAST(due.since_on AS STRING), 1, 7), due.rule, due.verdict
ORDER BY due.ledger, due_month NULLS LAST, due.rule, due.verdict;
