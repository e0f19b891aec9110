-- A logbook as the first version of the schema left it, in which a ± was one standard uncertainty. Never change this file.
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
volume = "5.6 ± 0.05 L"

[[reading]]
kind = "acid titration"
sample = "5,00 ± 0,03 mL"
diluted_to = "100 mL"
titrant = "sodium hydroxide"
strength = "0.4987 ± 0.0020 mol/L"
used = "12.3 mL ± 1 %"
end_point = "methyl orange"
titrant_label = "bottle of 5 ± 1 May"
note = "the label says 12 ± 1 g"

[[reading]]
kind = "hydrometer"
value = "1.165 +/- 0.001"
scale = "SG 20/20"

[[reading]]
kind = "copper titration"
method = "EDTA"
sample = "2 mL"
predilution = [
    "10 ± 0.1 mL",
    "100 mL",
]
strength = "0.01 mol/L"
used = "16 mL"

[[reading]]
kind = "previous check"
copper_sulfate = "212 ± 6 g/L"
','{"estimate":{"copper_sulfate_g_L":{"value":212.0,"standard_uncertainty":3.0},"sulfuric_acid_g_L":{"value":54.0,"standard_uncertainty":1.0},"chloride_mg_L":null,"volume_L":5.6,"correlation":-0.3,"determined":["copper_sulfate","sulfuric_acid"]},"verdict":{"copper_sulfate":{"state":"in","limits":[195.0,248.0]}}}');
INSERT INTO "entry" VALUES(2,1,'level','2026-03-16T12:00:00.000000+00:00','2026-11-25T11:03:47.905477+00:00','0.1.0',NULL,'volume = "5.6 ± 0.1 L"
note = "± 0.1 by eye"',NULL);
CREATE INDEX entry_by_bath ON entry (bath, happened, id);
CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END;
CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END;
PRAGMA user_version = 1;
COMMIT;
