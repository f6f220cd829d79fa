-- The journal's chain: a hash of each entry and of the hash before it. Entries from before
-- this table have none.

CREATE TABLE chain (
    id INTEGER PRIMARY KEY REFERENCES journal (id),
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;

CREATE TRIGGER chain_no_update BEFORE UPDATE ON chain
BEGIN SELECT RAISE(ABORT, 'chain is append-only'); END;
CREATE TRIGGER chain_no_delete BEFORE DELETE ON chain
BEGIN SELECT RAISE(ABORT, 'chain is append-only'); END;
CREATE TRIGGER chain_no_replace BEFORE INSERT ON chain
WHEN EXISTS (SELECT 1 FROM chain WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'chain is append-only'); END;
