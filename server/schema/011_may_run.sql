-- Schema 11: what a technician said after looking at the heater. NULL: not said.
ALTER TABLE care_visit ADD COLUMN may_run INTEGER CHECK (may_run IN (0, 1));
