-- The ledger's file, version 3: a request that is given again is compared with what it asked before.
ALTER TABLE entry ADD COLUMN asks TEXT;   -- a digest of what the request asks, on its first entry
