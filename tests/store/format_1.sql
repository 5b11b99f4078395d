-- A database as format 1 wrote it, with an invented shop. It stands for every database of that
-- format on people's disks, so it is never brought up to date: the program is.
PRAGMA application_id = 1398231620;
PRAGMA user_version = 1;

CREATE TABLE store (
    only_row INTEGER PRIMARY KEY CHECK (only_row = 1),
    database_id BLOB NOT NULL CHECK (length(database_id) = 16)
) STRICT;

CREATE TABLE subject (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    holder INTEGER REFERENCES subject (id),
    kind TEXT NOT NULL CHECK (kind IN ('site', 'machine', 'unit', 'area')),
    retired INTEGER NOT NULL CHECK (retired IN (0, 1)),
    created_us INTEGER NOT NULL,
    updated_us INTEGER NOT NULL,
    version INTEGER NOT NULL UNIQUE,
    request_id BLOB UNIQUE CHECK (length(request_id) = 16),
    format INTEGER NOT NULL,
    text TEXT NOT NULL
) STRICT;
CREATE INDEX subject_held ON subject (holder, kind, name);

CREATE TABLE record (
    number INTEGER PRIMARY KEY,
    subject INTEGER NOT NULL REFERENCES subject (id),
    kind TEXT NOT NULL,
    time_us INTEGER NOT NULL,
    created_us INTEGER NOT NULL,
    request_id BLOB NOT NULL UNIQUE CHECK (length(request_id) = 16),
    supersedes INTEGER REFERENCES record (number),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    unit_type TEXT NOT NULL,
    format INTEGER NOT NULL,
    text TEXT NOT NULL
) STRICT;
CREATE UNIQUE INDEX record_superseded_once ON record (supersedes)
    WHERE supersedes IS NOT NULL;
CREATE TRIGGER record_is_not_changed BEFORE UPDATE ON record
    BEGIN SELECT RAISE (ABORT, 'a record is never changed; amend it'); END;
CREATE TRIGGER record_is_not_deleted BEFORE DELETE ON record
    BEGIN SELECT RAISE (ABORT, 'a record is never deleted; withdraw it'); END;

CREATE TABLE concern (
    subject INTEGER NOT NULL REFERENCES subject (id),
    time_us INTEGER NOT NULL,
    record INTEGER NOT NULL REFERENCES record (number),
    kind TEXT NOT NULL,
    PRIMARY KEY (subject, time_us, record)
) STRICT, WITHOUT ROWID;

CREATE TABLE lesson (
    site TEXT NOT NULL,
    equipment TEXT NOT NULL,
    unit_type TEXT NOT NULL,
    cause TEXT NOT NULL,
    topic TEXT NOT NULL CHECK (topic IN ('confirmed', 'finding', 'remedy')),
    item TEXT NOT NULL,
    yes INTEGER NOT NULL CHECK (yes >= 0),
    no INTEGER NOT NULL CHECK (no >= 0),
    PRIMARY KEY (site, equipment, unit_type, cause, topic, item)
) STRICT, WITHOUT ROWID;

INSERT INTO store VALUES (1, X'0102030405060708090A0B0C0D0E0F10');

INSERT INTO subject VALUES
    (1, 'sites/home', NULL, 'site', 0, 1750000000000000, 1750000000000000, 1, NULL, 1,
     '{"label":{"display_name":"home"}}'),
    (2, 'sites/home/machines/old-bess', 1, 'machine', 0, 1750000000000000, 1750000000000000, 2,
     X'000102030405060708090A0B0C0D0E01', 1,
     '{"label":{"display_name":"Old Bess","other_names":["the gang"]},"facts":{"equipment":"reel_unit","working_width_mm":3000.0}}'),
    (3, 'sites/home/machines/old-bess/units/3', 2, 'unit', 0, 1750000000000000, 1750000000000000,
     3, NULL, 1,
     '{"label":{"display_name":"3"},"facts":{"equipment":"reel_unit","unit_type":"fairway reel","position":3,"blade_count":8}}'),
    (4, 'sites/home/areas/6-green', 1, 'area', 0, 1750000000000000, 1750000000000000, 4, NULL, 1,
     '{"label":{"display_name":"6 green"},"facts":{"surface":"green"}}');

INSERT INTO record VALUES
    (5, 3, 'sharpening', 1750000100000000, 1750000100000000, X'000102030405060708090A0B0C0D0E05',
     NULL, 0, 'fairway reel', 1,
     '{"equipment":"reel_unit","duration_min":35.0,"detail":{"method":"spin_grind","diameter_before_mm":127.508,"diameter_after_mm":126.746}}'),
    (6, 3, 'adjustment', 1750000200000000, 1750000200000000, X'000102030405060708090A0B0C0D0E06',
     NULL, 0, 'fairway reel', 1,
     '{"equipment":"reel_unit","detail":{"target":"height_of_cut","end":"left","height_change_mm":0.3,"turns":0.75}}'),
    (7, 3, 'part_replaced', 1750000300000000, 1750000300000000,
     X'000102030405060708090A0B0C0D0E07', NULL, 0, 'fairway reel', 1,
     '{"equipment":"reel_unit","machine_hours_h":1412.0,"detail":{"parts":[{"part":"bedknife","count":1,"reason":"worn_out"},{"part":"bedknife screw","count":11}]}}'),
    (8, 1, 'height_reading', 1750000400000000, 1750000400000000,
     X'000102030405060708090A0B0C0D0E08', NULL, 0, '', 1,
     '{"detail":{"method":"prism","readings":[{"area":"sites/home/areas/6-green","height_mm":3.1}],"bench_height_mm":3.5}}'),
    (9, 2, 'inspection', 1750000500000000, 1750000500000000, X'000102030405060708090A0B0C0D0E09',
     NULL, 0, '', 1,
     '{"equipment":"reel_unit","words":"weekly look over","detail":{"observations":[{"finding":"oil_on_unit","present":false}],"items":[{"item":"tyres","condition":"good"}],"pressure_kpa":69.0}}'),
    (10, 3, 'fault_fixed', 1750000600000000, 1750000600000000,
     X'000102030405060708090A0B0C0D0E0A', NULL, 0, 'fairway reel', 1,
     '{"equipment":"reel_unit","detail":{"fault":"uncut line","cause":"bedknife_loose","fixed":true}}'),
    (11, 3, 'fault_fixed', 1750000600000000, 1750000700000000,
     X'000102030405060708090A0B0C0D0E0B', 10, 0, 'fairway reel', 1,
     '{"equipment":"reel_unit","done_by":"the night man","detail":{"fault":"uncut line","cause":"edge_damage","procedure":"dress_nick","fixed":true,"observations":[{"finding":"edges_nicked","present":true}]}}'),
    (12, 2, 'hours', 1750000800000000, 1750000800000000, X'000102030405060708090A0B0C0D0E0C',
     NULL, 0, '', 1,
     '{"equipment":"reel_unit","machine_hours_h":1430.5,"detail":{"hours_run_h":6.5}}');

INSERT INTO concern
    SELECT s.id, r.time_us, r.number, r.kind FROM record r
    JOIN subject s ON s.id = r.subject OR s.id = 1 OR (s.id = 2 AND r.subject = 3)
        OR (s.id = 4 AND r.number = 8);

INSERT INTO lesson VALUES
    ('home', 'reel_unit', 'fairway reel', 'edge_damage', 'confirmed', '', 1, 0),
    ('home', 'reel_unit', 'fairway reel', 'edge_damage', 'finding', 'edges_nicked', 1, 0),
    ('home', 'reel_unit', 'fairway reel', 'edge_damage', 'remedy', 'dress_nick', 1, 0);
