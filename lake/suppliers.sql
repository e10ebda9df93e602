-- Question: of the casks that each supplier sent, to all sites together, how many failed their first test?
-- Tables:   receipt, cask. Receipts are as of each ledger's last export. Suppliers are told apart by the short name that a
--           house gives them: name them alike in every house.yaml.
-- Unit:     casks. failed_share, 0 to 1, is of those that were tested before anything was filled in; NULL of none.
WITH latest AS (
  SELECT cask.ledger, MAX(cask.as_of) AS as_of FROM cask GROUP BY cask.ledger
),
sender AS (
  SELECT cask.ledger, cask.cask, cask.supplier
  FROM cask JOIN latest ON latest.ledger = cask.ledger AND latest.as_of = cask.as_of
)
SELECT sender.supplier, COUNT(DISTINCT receipt.ledger) AS ledgers, COUNT(*) AS received,
  COUNT(receipt.first_test_on) AS tested,
  COUNT(CASE WHEN receipt.first_test = 'fail' THEN 1 END) AS failed,
  ROUND(CAST(COUNT(CASE WHEN receipt.first_test = 'fail' THEN 1 END) AS DOUBLE)
    / NULLIF(COUNT(receipt.first_test_on), 0), 6) AS failed_share
FROM receipt LEFT JOIN sender ON sender.ledger = receipt.ledger AND sender.cask = receipt.cask
GROUP BY sender.supplier
ORDER BY failed_share DESC NULLS LAST, sender.supplier NULLS LAST;
