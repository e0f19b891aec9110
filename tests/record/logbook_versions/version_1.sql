-- A logbook as the first version of the schema left it. Never change this file.
BEGIN TRANSACTION;
CREATE TABLE bath (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT;
INSERT INTO "bath" VALUES(1,'Shed tank');
CREATE TABLE entry (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            bath INTEGER NOT NULL REFERENCES bath (id),
            kind TEXT NOT NULL,
            happened TEXT NOT NULL,  -- UTC, ISO 8601, so that texts sort like times
            written TEXT NOT NULL,
            program TEXT NOT NULL,
            corrects INTEGER REFERENCES entry (id),
            content TEXT NOT NULL,  -- TOML
            advice TEXT  -- JSON, of a check
        ) STRICT;
INSERT INTO "entry" VALUES(1,1,'check','2026-03-14T12:00:00.000000+00:00','2026-11-25T11:03:47.850039+00:00','0.1.0',NULL,'[bath]
name = "Shed tank"
volume = "5.6 L"
','{"estimate":{"copper_sulfate_g_L":{"value":212.0,"standard_uncertainty":3.0},"sulfuric_acid_g_L":{"value":54.0,"standard_uncertainty":1.0},"chloride_mg_L":null,"volume_L":5.6,"correlation":-0.3,"determined":["copper_sulfate","sulfuric_acid"]},"verdict":{"copper_sulfate":{"state":"in","limits":[195.0,248.0]}}}');
INSERT INTO "entry" VALUES(2,1,'water','2026-03-15T12:00:00.000000+00:00','2026-11-25T11:03:47.880198+00:00','0.1.0',NULL,'volume = "1,2 L"',NULL);
INSERT INTO "entry" VALUES(3,1,'level','2026-03-16T12:00:00.000000+00:00','2026-11-25T11:03:47.905477+00:00','0.1.0',NULL,'volume = "5.6 L"',NULL);
CREATE INDEX entry_by_bath ON entry (bath, happened, id);
CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END;
CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END;
PRAGMA user_version = 1;
COMMIT;
