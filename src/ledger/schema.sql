-- The ledger's file, version 1. Entries are what is true; the tables of what holds now are made
-- from them and can be made again.

-- What happened, oldest first.
CREATE TABLE entry (
    seq INTEGER PRIMARY KEY,
    act INTEGER NOT NULL,                 -- what one command did has one number
    at TEXT NOT NULL,                     -- 2026-11-27T19:42:05+01:00
    by TEXT NOT NULL,                     -- the command or screen
    request TEXT,                         -- what a script calls its request, on its first entry
    sitting INTEGER,
    number INTEGER,                       -- of the parcel
    event TEXT NOT NULL                   -- JSON
) STRICT;
CREATE INDEX entry_of_sitting ON entry (sitting, seq) WHERE sitting IS NOT NULL;
CREATE UNIQUE INDEX entry_of_request ON entry (request) WHERE request IS NOT NULL;

CREATE INDEX entry_of_order ON entry (event ->> 'order') WHERE sitting IS NULL;

CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER entry_is_never_removed BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;

-- What orders said when they came in, word for word; removed when it is to be forgotten.
CREATE TABLE order_text (
    text INTEGER PRIMARY KEY,
    order_id TEXT NOT NULL,
    json TEXT
) STRICT;
CREATE INDEX order_text_of_order ON order_text (order_id) WHERE json IS NOT NULL;

-- What holds now.
CREATE TABLE order_now (
    id TEXT PRIMARY KEY,
    core TEXT NOT NULL,                   -- the id without letter case, prefix and punctuation
    state TEXT NOT NULL,                  -- waiting | doubted | in line | handed over | taken off
    since TEXT NOT NULL,
    came INTEGER NOT NULL,                -- the entry with which it came in first
    text INTEGER NOT NULL,                -- what it says now
    doubt TEXT,                           -- the order that it may be once more
    sitting INTEGER,                      -- where it is, or went
    number INTEGER,
    reason TEXT NOT NULL,
    told TEXT,                            -- when the shop was told that it went
    words TEXT                            -- what a search looks through, in small letters
) STRICT, WITHOUT ROWID;
CREATE INDEX order_by_state ON order_now (state, came);
CREATE INDEX order_by_core ON order_now (core);
CREATE INDEX order_untold ON order_now (sitting, number, came)
    WHERE state = 'handed over' AND told IS NULL;
CREATE INDEX order_by_parcel ON order_now (sitting, number) WHERE sitting IS NOT NULL;

-- The parcels that an order lies in or has lain in, also those that were taken back.
CREATE TABLE order_been (
    id TEXT NOT NULL,
    sitting INTEGER NOT NULL,
    number INTEGER NOT NULL,
    PRIMARY KEY (id, sitting, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE parcel_now (
    sitting INTEGER NOT NULL,
    number INTEGER NOT NULL,
    place INTEGER NOT NULL,               -- as it lies on the bench, from 1
    tag TEXT NOT NULL,
    pair TEXT NOT NULL,
    state TEXT NOT NULL,
    since TEXT NOT NULL,
    reason TEXT NOT NULL,
    weight_g INTEGER,
    tracking TEXT NOT NULL,
    PRIMARY KEY (sitting, number)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX parcel_by_tracking ON parcel_now (tracking)
    WHERE tracking <> '' AND state <> 'taken off' AND state <> 'set aside';

CREATE TABLE sitting_now (
    sitting INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    key TEXT NOT NULL UNIQUE,
    opened TEXT NOT NULL,
    closed TEXT
) STRICT;

-- For people and other programs that look into the file.
CREATE VIEW what_happened AS
    SELECT seq, at, by, sitting, number, event ->> 'what' AS what, event FROM entry ORDER BY seq;
CREATE VIEW where_orders_are AS
    SELECT id, state, since, sitting, number, reason, told FROM order_now ORDER BY came;
CREATE VIEW where_parcels_are AS
    SELECT sitting, place, number, tag, pair, state, since, tracking, reason
    FROM parcel_now ORDER BY sitting, place;
