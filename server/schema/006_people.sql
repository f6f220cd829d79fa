-- Who may do what: people, where they are logged in, and the tokens of instruments.
-- None of these are facts: they are changed in place, and every change of a person, a
-- right or a token is told by the journal. No secret lies here: only what can tell
-- whether one is right.

-- role: 1 viewer, 2 technician, 3 owner. secret: argon2id of the keyed PIN or
-- passphrase, "" before the first. failures: wrong ones in a row.
CREATE TABLE person (
    id INTEGER PRIMARY KEY,
    version INTEGER NOT NULL CHECK (version >= 1),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    name TEXT NOT NULL COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 63),
    role INTEGER NOT NULL CHECK (role BETWEEN 1 AND 3),
    disabled INTEGER NOT NULL CHECK (disabled IN (0, 1)),
    secret TEXT NOT NULL CHECK (length(secret) <= 127),
    failures INTEGER NOT NULL CHECK (failures >= 0)
) STRICT;
CREATE UNIQUE INDEX person_by_name ON person (name);

-- hash: SHA-256 of the cookie. proved_at: when the secret was last typed there.
CREATE TABLE session (
    id INTEGER PRIMARY KEY,
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    person_id INTEGER NOT NULL REFERENCES person (id),
    made_at INTEGER NOT NULL,
    seen_at INTEGER NOT NULL,
    proved_at INTEGER NOT NULL,
    peer TEXT NOT NULL,
    device TEXT NOT NULL CHECK (length(device) <= 63)
) STRICT;
CREATE UNIQUE INDEX session_by_hash ON session (hash);
CREATE INDEX session_by_person ON session (person_id);

-- A browser that somebody logged in with keeps a count of its own, so that a stranger's
-- guesses lock out the stranger only.
CREATE TABLE known_device (
    hash BLOB PRIMARY KEY CHECK (length(hash) = 32),
    person_id INTEGER NOT NULL REFERENCES person (id),
    made_at INTEGER NOT NULL,
    failures INTEGER NOT NULL CHECK (failures >= 0)
) STRICT, WITHOUT ROWID;

-- scope: 1 readings:write, 2 status:read, 3 metrics:read, 4 calendar:read. hash NULL
-- until the token was issued. water_id: of readings:write.
CREATE TABLE token (
    id INTEGER PRIMARY KEY,
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 63),
    scope INTEGER NOT NULL CHECK (scope BETWEEN 1 AND 4),
    water_id INTEGER REFERENCES water (id),
    hash BLOB CHECK (length(hash) = 32),
    made_at INTEGER NOT NULL,
    used_at INTEGER,
    revoked_at INTEGER
) STRICT;
CREATE UNIQUE INDEX token_by_hash ON token (hash) WHERE hash IS NOT NULL;

CREATE TABLE door (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    version INTEGER NOT NULL CHECK (version >= 1),
    family_sees_permit INTEGER NOT NULL CHECK (family_sees_permit IN (0, 1))
) STRICT;
INSERT INTO door (id, version, family_sees_permit) VALUES (1, 1, 1);
