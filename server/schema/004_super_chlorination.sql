-- Schema 4: super-chlorinations. A plan is a start and what happened since: nothing is
-- overwritten, so that it can be told who ticked what, and when.

-- proposal: what was computed when it was started, as JSON.
CREATE TABLE super_plan (
    id INTEGER PRIMARY KEY,
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    water_id INTEGER NOT NULL REFERENCES water (id),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    proposal TEXT NOT NULL CHECK (length(proposal) BETWEEN 2 AND 262144)
) STRICT;
CREATE INDEX super_plan_of_water ON super_plan (water_id, at);

-- state after the event: 0 planned, 1 heater off line, 2 dosed, 3 coming down,
-- 4 confirmed back, 5 abandoned. step: the key of what was ticked, '' for none.
CREATE TABLE super_plan_event (
    plan_id INTEGER NOT NULL REFERENCES super_plan (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    state INTEGER NOT NULL CHECK (state BETWEEN 0 AND 5),
    step TEXT NOT NULL CHECK (length(step) <= 40),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    PRIMARY KEY (plan_id, version)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER super_plan_no_update BEFORE UPDATE ON super_plan
BEGIN SELECT RAISE(ABORT, 'super_plan is append-only'); END;
CREATE TRIGGER super_plan_no_delete BEFORE DELETE ON super_plan
BEGIN SELECT RAISE(ABORT, 'super_plan is append-only'); END;
CREATE TRIGGER super_plan_no_replace BEFORE INSERT ON super_plan
WHEN EXISTS (SELECT 1 FROM super_plan WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'super_plan is append-only'); END;

CREATE TRIGGER super_plan_event_no_update BEFORE UPDATE ON super_plan_event
BEGIN SELECT RAISE(ABORT, 'super_plan_event is append-only'); END;
CREATE TRIGGER super_plan_event_no_delete BEFORE DELETE ON super_plan_event
BEGIN SELECT RAISE(ABORT, 'super_plan_event is append-only'); END;
CREATE TRIGGER super_plan_event_no_replace BEFORE INSERT ON super_plan_event
WHEN EXISTS (SELECT 1 FROM super_plan_event
             WHERE plan_id = NEW.plan_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'super_plan_event is append-only'); END;
