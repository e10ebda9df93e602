-- Question: which casks have staves of which donor, and where are they now? For one donor add: WHERE gift.donor = '...'
-- Tables:   gift, asked (asked_day), cask. Gifts are as of each ledger's last export; state, spirit and berth of the
--           cask that has the staves are those of the last exported day up to asked_day, NULL where there is none.
-- Unit:     staves given in repairs (kind: stave), or the donor's staves of which the cask was made (kind: made-from); NULL
--           where nobody counted them. Of a lot made into several casks the same staves are told with each.
WITH told AS (
  SELECT cask.ledger, MAX(cask.as_of) AS as_of
  FROM cask CROSS JOIN asked
  WHERE cask.as_of <= asked.asked_day
  GROUP BY cask.ledger
),
present AS (
  SELECT cask.ledger, cask.cask, cask.as_of, cask.state, cask.spirit, cask.berth
  FROM cask JOIN told ON told.ledger = cask.ledger AND told.as_of = cask.as_of
)
SELECT gift.ledger, gift.donor, gift.cask, gift.kind, gift.pieces AS staves, gift.first_on,
  present.as_of, present.state, present.spirit, present.berth
FROM gift LEFT JOIN present ON present.ledger = gift.ledger AND present.cask = gift.cask
WHERE gift.kind IN ('stave', 'made-from')
ORDER BY gift.ledger, gift.donor, gift.cask, gift.kind;
