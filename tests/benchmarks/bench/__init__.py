"""A bench that is not our model: baths, flasks and hands as the world may have them, to see whether the advice is honest.

    python -m tests.benchmarks.bench STATE.jsonl [--baths 600] [--seconds 600] [--databases FOLDER]

No line of physics is shared with the tool: titration flasks are solved by PHREEQC (`flask`), densities stand on printed
rows (`liquid`), and the sizes of hands and tools are stated anew (`hands`). The tool is asked as a person asks it: a
bench sheet goes in, its JSON comes out, and the steps of the correction are carried out on the true bath (`tank`).
Not collected by pytest; a small fixed part runs in `tests/check/test_bench_outside.py`.

Sizes are judgement unless a source stands beside them. Everywhere: P is g/L CuSO4.5H2O, A is g/L free H2SO4.
"""

# How many standard uncertainties a person types after ±. A sheet takes the number as a 95 % half-width.
TYPED_SPREADS = 1.96
