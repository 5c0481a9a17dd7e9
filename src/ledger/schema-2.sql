-- The ledger's file, version 2: what exports say of orders that are here stands until it is put away, and
-- words are found whatever accents they are written with.
ALTER TABLE order_now ADD COLUMN called_off TEXT;       -- since when an export leaves it out
ALTER TABLE order_now ADD COLUMN changed_from INTEGER;  -- the text that it was packed by
CREATE INDEX order_news ON order_now (came)
    WHERE called_off IS NOT NULL OR changed_from IS NOT NULL;
