-- What the program did to a database of format 1 to make one of format 2. Run after format_1.sql it
-- gives a database as format 2 left it on people's disks, so it is never brought up to date.
PRAGMA user_version = 2;

DROP TRIGGER record_is_not_changed;
ALTER TABLE record ADD COLUMN cause TEXT;
UPDATE record SET cause = text ->> '$.detail.cause' WHERE kind = 'fault_fixed';
CREATE INDEX record_cause ON record (cause, time_us, number) WHERE cause IS NOT NULL;
CREATE TRIGGER record_is_not_changed BEFORE UPDATE ON record
    BEGIN SELECT RAISE (ABORT, 'a record is never changed; amend it'); END;
