-- Question: how much alcohol went from the casks of each type, over all fills of which two gauges or more tell?
-- Tables:   fill, cask. The fills are as of each ledger's last export, whatever day is asked about.
-- Unit:     litres of pure alcohol at 20 °C, as `caskbook report loss` adds them up: fills whose figure is in doubt are in
--           no sum, and are counted beside it. What went after a last gauge is not known, and in no sum either.
WITH latest AS (
  SELECT cask.ledger, MAX(cask.as_of) AS as_of FROM cask GROUP BY cask.ledger
),
kind AS (
  SELECT cask.ledger, cask.cask, cask.type FROM cask JOIN latest ON latest.ledger = cask.ledger AND latest.as_of = cask.as_of
)
SELECT fill.ledger, kind.type, COUNT(*) AS fills,
  COUNT(CASE WHEN fill.loss_doubt IS NULL THEN fill.loss_lpa END) AS fills_gauged,
  COUNT(fill.loss_doubt) AS fills_in_doubt,
  CAST(SUM(CASE WHEN fill.loss_doubt IS NULL THEN CAST(fill.loss_lpa AS DECIMAL(14, 2)) END) AS DECIMAL(18, 2)) AS lost_lpa
FROM fill LEFT JOIN kind ON kind.ledger = fill.ledger AND kind.cask = fill.cask
WHERE fill.is_spirit
GROUP BY fill.ledger, kind.type
ORDER BY fill.ledger, kind.type NULLS LAST;
