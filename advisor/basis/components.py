"""What a bath is judged by: the three components, what each is called in a sentence and in a result, and its unit."""

SALT_AND_ACID = ("copper_sulfate", "sulfuric_acid")  # which a correction moves by itself; chloride follows
COMPONENTS = (*SALT_AND_ACID, "chloride")
NAMES = {name: name.replace("_", " ") for name in COMPONENTS}
UNITS = {"copper_sulfate": "g/L", "sulfuric_acid": "g/L", "chloride": "mg/L"}
# The names in a result for other programs: "copper_sulfate_g_L".
KEYS = {name: f"{name}_{unit.replace('/', '_')}" for name, unit in UNITS.items()}
