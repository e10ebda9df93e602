-- Question: how many casks of each type are in which state, site by site, on the day asked about?
-- Tables:   asked (asked_day), cask. Of each ledger the last exported day up to asked_day counts, and is told as as_of:
--           a site whose export failed shows an older day. A ledger without one so early has no row.
-- Unit:     casks. The gone are a state of their own, so that all states together are all casks of the ledger.
WITH told AS (
  SELECT cask.ledger, MAX(cask.as_of) AS as_of
  FROM cask CROSS JOIN asked
  WHERE cask.as_of <= asked.asked_day
  GROUP BY cask.ledger
)
SELECT cask.ledger, cask.as_of, cask.type, cask.state, COUNT(*) AS casks
FROM cask JOIN told ON told.ledger = cask.ledger AND told.as_of = cask.as_of
GROUP BY cask.ledger, cask.as_of, cask.type, cask.state
ORDER BY cask.ledger, cask.type NULLS LAST, cask.state NULLS LAST;
