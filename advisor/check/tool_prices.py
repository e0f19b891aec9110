"""What the tools for a reading usually cost, where nobody said it."""

# In any currency (judgement: small shops, about euros or dollars).
USUAL_PRICE = {
    "0.1 g scale": 12.0,
    "1 g scale": 8.0,
    "0.01 g scale": 18.0,
    "hydrometer": 12.0,
    "10 mL syringe": 1.0,
    "50 mL burette": 30.0,
    "baking soda": 2.0,
    "washing soda": 2.0,
    "lye": 5.0,
    "methyl orange": 6.0,
    "pH meter": 20.0,
    "conductivity pen": 20.0,
    "EDTA": 25.0,
    "thiosulfate": 20.0,
    "jars": 5.0,
    "camera": 100.0,
    "inert anode": 25.0,
    "zinc strip": 4.0,
    "chloride strips": 20.0,
    "silver nitrate": 25.0,
}
