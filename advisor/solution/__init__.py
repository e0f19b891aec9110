"""The liquid itself: composition, density, hydrometer scales, solubility, transport, and the stock for it.

Nothing here knows about readings, windows or advice. Plain floats or numpy arrays throughout: concentrations
in g/L at 20 degC (copper sulfate as CuSO4.5H2O, free sulfuric acid as H2SO4, foreign solids as FeSO4),
temperature in degC, density in g/mL.
"""
