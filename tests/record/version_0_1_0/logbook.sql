BEGIN TRANSACTION;
CREATE TABLE bath (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT;
INSERT INTO "bath" VALUES(1,'Leafcast, big tank');
INSERT INTO "bath" VALUES(2,'Other tank');
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
INSERT INTO "entry" VALUES(1,1,'check','2026-03-14T12:00:00.000000+00:00','2026-11-26T08:08:35.727777+00:00','0.1.0',NULL,'[bath]
volume = "5.6 L"
name = "Leafcast, big tank"
date = 2026-03-14
temperature = "19 degC"
coldest = "12 degC"
usual_volume = "5.6 L"
max_volume = "6.5 L"
min_volume = "5.0 L"
additives = true
age = "9 months"
soda_added = "0 g"
touched = [
    "nothing",
]
topped_up_with = "distilled water"
anodes = "copper"

[gear]
have = [
    "0.1 g scale",
    "hydrometer",
    "10 mL syringe",
    "baking soda",
    "jars",
]

[stock.crystals]
on_hand = "1 kg"
price = 9.0

[stock.acid]
strength = "37 %"
on_hand = "1 L"
price = 4.0

[[reading]]
kind = "acid titration"
sample = "10 mL"
diluted_to = "100 mL"
titrant = "sodium bicarbonate"
strength = "42 g/L"
used = "8.6 mL"
end_point = "first lasting cloud"
fizzing = false
sample_with = "10 mL syringe"
used_with = "10 mL syringe"
note = "swirled until no bubble rose"

[[reading]]
kind = "hydrometer"
value = "1.134"
scale = "SG 20/20"
temperature = "19 degC"
','{"estimate":{"copper_sulfate_g_L":{"value":191.75860099779385,"standard_uncertainty":4.6904047830082325},"sulfuric_acid_g_L":{"value":20.911472748883046,"standard_uncertainty":0.712223457302716},"chloride_mg_L":null,"volume_L":5.60174777396288,"correlation":-0.14812094205625023,"determined":["copper_sulfate","sulfuric_acid"],"agreement":{"chi_squared":0.0001360721002953073,"degrees_of_freedom":0,"p_value":null,"odd_one_out":null}},"verdict":{"copper_sulfate":{"state":"unsure","probability_low":0.7552392888661132,"probability_in":0.24476071113388675,"probability_high":1.9868267430842318e-33,"limits":[195.0,248.0]},"sulfuric_acid":{"state":"low","probability_low":1.0,"probability_in":0.0,"probability_high":0.0,"limits":[30.0,75.0]},"chloride":{"state":"not measured","probability_low":null,"probability_in":null,"probability_high":null,"limits":[50.0,120.0]},"crystallises_below_degC":-6.486159147052561},"correction":{"state":"possible","steps":[{"do":"add","what":"copper sulfate crystals","mass_g":255.5,"purity_mass_fraction":0.99},{"do":"add","what":"sulfuric acid","mass_g":523.8254000000001,"volume_mL":410.2,"strength_mass_fraction":0.37}],"after":{"volume_L":6.1132408873843245,"copper_sulfate_g_L":217.09079369281437,"sulfuric_acid_g_L":50.866013567868755,"chloride_mg_L":null},"probability_in":0.9999998488284705,"cost":3.9403,"waste_L":0.0,"blocked_by":null},"next_reading":[{"kind":"chloride titration","question":null,"why":"silver nitrate tells the chloride; you would need silver nitrate for it","gain":0.3333333333333333}],"foreign_salts_g_L":{"value":1.3522771674841425,"standard_uncertainty":0.905501544781611,"reads_as_copper_sulfate_g_L":2.0101399795426524},"warnings":["Too little acid: the bath conducts badly, recesses stay thin, the deposit turns rough or dull, and anodes stop feeding."],"cautions":["Switch the current off and take parts and anodes out before you correct the bath.","Copper sulfate is harmful if swallowed and harms eyes: goggles and gloves, no dust.","Dissolve the crystals apart, in warm bath drawn from the tank or in the water of this plan, before the acid goes in: acid lowers what dissolves.","Dissolve crystals in warm liquid, not hot: no more than about 40 °C, no lid pressed on, and no boiling kettle over them. Anhydrous crystals heat the water: a spoonful at a time into cold water.","Weigh powders without a draught and without dust, over a tray, with gloves; wipe up with a wet cloth, and wash your hands.","A copper-lime spray powder is not copper sulfate: never use it.","Sulfuric acid burns skin and blinds. Wear goggles, gloves and old clothes; keep running water within reach, and baking soda for spills; ventilate.","Acid into the liquid, never liquid into acid: pour it thinly while stirring, in the portions named and no larger, and let each cool before the next.","Use fresh battery electrolyte or plain technical acid only, never drain cleaner, and never acid out of a used battery: that carries lead.","Use no vessel, spoon or scale pan that will ever touch food again.","No bath, rinse or crystals down any drain or onto soil: copper kills life in water. Ask your local authority where to hand it in.","Local rules and licensed practice come before this advice."]}');
INSERT INTO "entry" VALUES(2,1,'check','2026-04-14T12:00:00.000000+00:00','2026-11-26T08:08:35.961707+00:00','0.1.0',NULL,'[bath]
volume = "5.6 L"
name = "Leafcast, big tank"
date = 2026-04-14
temperature = "19 degC"
coldest = "12 degC"
usual_volume = "5.6 L"
max_volume = "6.5 L"
min_volume = "5.0 L"
additives = true
age = "9 months"
soda_added = "0 g"
touched = [
    "nothing",
]
topped_up_with = "distilled water"
anodes = "copper"

[gear]
have = [
    "0.1 g scale",
    "hydrometer",
    "10 mL syringe",
    "baking soda",
    "jars",
]

[stock.crystals]
on_hand = "1 kg"
price = 9.0

[stock.acid]
strength = "37 %"
on_hand = "1 L"
price = 4.0

[[reading]]
kind = "acid titration"
sample = "10 mL"
diluted_to = "100 mL"
titrant = "sodium bicarbonate"
strength = "42 g/L"
used = "8.6 mL"
end_point = "first lasting cloud"
fizzing = false
sample_with = "10 mL syringe"
used_with = "10 mL syringe"
note = "swirled until no bubble rose"

[[reading]]
kind = "hydrometer"
value = "1.134"
scale = "SG 20/20"
temperature = "19 degC"
','{"estimate":{"copper_sulfate_g_L":{"value":191.75860099779385,"standard_uncertainty":4.6904047830082325},"sulfuric_acid_g_L":{"value":20.911472748883046,"standard_uncertainty":0.712223457302716},"chloride_mg_L":null,"volume_L":5.60174777396288,"correlation":-0.14812094205625023,"determined":["copper_sulfate","sulfuric_acid"],"agreement":{"chi_squared":0.0001360721002953073,"degrees_of_freedom":0,"p_value":null,"odd_one_out":null}},"verdict":{"copper_sulfate":{"state":"unsure","probability_low":0.7552392888661132,"probability_in":0.24476071113388675,"probability_high":1.9868267430842318e-33,"limits":[195.0,248.0]},"sulfuric_acid":{"state":"low","probability_low":1.0,"probability_in":0.0,"probability_high":0.0,"limits":[30.0,75.0]},"chloride":{"state":"not measured","probability_low":null,"probability_in":null,"probability_high":null,"limits":[50.0,120.0]},"crystallises_below_degC":-6.486159147052561},"correction":{"state":"possible","steps":[{"do":"add","what":"copper sulfate crystals","mass_g":255.5,"purity_mass_fraction":0.99},{"do":"add","what":"sulfuric acid","mass_g":523.8254000000001,"volume_mL":410.2,"strength_mass_fraction":0.37}],"after":{"volume_L":6.1132408873843245,"copper_sulfate_g_L":217.09079369281437,"sulfuric_acid_g_L":50.866013567868755,"chloride_mg_L":null},"probability_in":0.9999998488284705,"cost":3.9403,"waste_L":0.0,"blocked_by":null},"next_reading":[{"kind":"chloride titration","question":null,"why":"silver nitrate tells the chloride; you would need silver nitrate for it","gain":0.3333333333333333}],"foreign_salts_g_L":{"value":1.3522771674841425,"standard_uncertainty":0.905501544781611,"reads_as_copper_sulfate_g_L":2.0101399795426524},"warnings":["Too little acid: the bath conducts badly, recesses stay thin, the deposit turns rough or dull, and anodes stop feeding."],"cautions":["Switch the current off and take parts and anodes out before you correct the bath.","Copper sulfate is harmful if swallowed and harms eyes: goggles and gloves, no dust.","Dissolve the crystals apart, in warm bath drawn from the tank or in the water of this plan, before the acid goes in: acid lowers what dissolves.","Dissolve crystals in warm liquid, not hot: no more than about 40 °C, no lid pressed on, and no boiling kettle over them. Anhydrous crystals heat the water: a spoonful at a time into cold water.","Weigh powders without a draught and without dust, over a tray, with gloves; wipe up with a wet cloth, and wash your hands.","A copper-lime spray powder is not copper sulfate: never use it.","Sulfuric acid burns skin and blinds. Wear goggles, gloves and old clothes; keep running water within reach, and baking soda for spills; ventilate.","Acid into the liquid, never liquid into acid: pour it thinly while stirring, in the portions named and no larger, and let each cool before the next.","Use fresh battery electrolyte or plain technical acid only, never drain cleaner, and never acid out of a used battery: that carries lead.","Use no vessel, spoon or scale pan that will ever touch food again.","No bath, rinse or crystals down any drain or onto soil: copper kills life in water. Ask your local authority where to hand it in.","Local rules and licensed practice come before this advice."]}');
INSERT INTO "entry" VALUES(3,1,'level','2026-03-15T12:00:00.000000+00:00','2026-11-26T08:08:36.797596+00:00','0.1.0',NULL,'volume = "5.62 L ± 0.03 L"
note = ""
',NULL);
INSERT INTO "entry" VALUES(4,1,'water','2026-03-16T12:00:00.000000+00:00','2026-11-26T08:08:36.807268+00:00','0.1.0',NULL,'volume = "1,2 L"
chloride = "30 mg/L"
',NULL);
INSERT INTO "entry" VALUES(5,1,'crystals','2026-03-17T12:00:00.000000+00:00','2026-11-26T08:08:36.823239+00:00','0.1.0',NULL,'mass = "8 oz"
form = "anhydrous"
note = "\"quoted\" \\ and\nsecond line	½"
',NULL);
INSERT INTO "entry" VALUES(6,1,'acid','2026-03-18T12:00:00.000000+00:00','2026-11-26T08:08:36.830528+00:00','0.1.0',NULL,'volume = "120 mL"
strength = "37 %"
',NULL);
INSERT INTO "entry" VALUES(7,1,'chloride','2026-03-19T12:00:00.000000+00:00','2026-11-26T08:08:36.861896+00:00','0.1.0',NULL,'volume = "12 mL"
',NULL);
INSERT INTO "entry" VALUES(8,1,'take out','2026-03-20T12:00:00.000000+00:00','2026-11-26T08:08:36.889915+00:00','0.1.0',NULL,'volume = "0.5 L"
why = "sampled"
',NULL);
INSERT INTO "entry" VALUES(9,1,'carbon treatment','2026-03-21T12:00:00.000000+00:00','2026-11-26T08:08:36.900508+00:00','0.1.0',NULL,'carbon = "15 g"
',NULL);
INSERT INTO "entry" VALUES(10,1,'anode change','2026-03-22T12:00:00.000000+00:00','2026-11-26T08:08:36.929865+00:00','0.1.0',NULL,'anodes = "inert"
area = "2 dm^2"
',NULL);
INSERT INTO "entry" VALUES(11,1,'additive dose','2026-03-23T12:00:00.000000+00:00','2026-11-26T08:08:36.941864+00:00','0.1.0',NULL,'volume = "3 mL"
additive = "bright"
',NULL);
INSERT INTO "entry" VALUES(12,2,'remake','2026-03-15T12:00:00.000000+00:00','2026-11-26T08:08:36.959744+00:00','0.1.0',NULL,'note = "leaked"
',NULL);
INSERT INTO "entry" VALUES(13,1,'plating run','2026-03-25T12:00:00.000000+00:00','2026-11-26T08:08:36.962536+00:00','0.1.0',NULL,'current = "1.5 A"
time = "8 h"
',NULL);
INSERT INTO "entry" VALUES(14,1,'level','2026-04-04T12:00:00.000000+00:00','2026-11-26T08:08:36.964717+00:00','0.1.0',NULL,'volume = "5.4 L ± 0.1 L"
',NULL);
INSERT INTO "entry" VALUES(15,1,'level','2026-04-04T12:00:00.000000+00:00','2026-11-26T08:08:36.967735+00:00','0.1.0',14,'volume = "5.5 L ± 0.1 L"
',NULL);
INSERT INTO "entry" VALUES(16,1,'withdrawn','2026-03-17T12:00:00.000000+00:00','2026-11-26T08:08:36.970670+00:00','0.1.0',5,'note = "typed twice"
',NULL);
CREATE INDEX entry_by_bath ON entry (bath, happened, id);
CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END;
CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'append only'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('entry',16);
COMMIT;
PRAGMA user_version = 1;
