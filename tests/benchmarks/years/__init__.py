"""Whether the record is honest: years of bath life in many kinds of trouble, by a mass balance of its own.

    python -m tests.benchmarks.years STATE.jsonl [--baths N] [--seconds S] [--kinds KIND ...] [--days N]

A tank loses water, drips and idle copper day by day; its owner plates, tops up, corrects, writes it down and checks every
three weeks. No rate stays as it is: each is another from one check to the next. Asked is how often the 95 % intervals
hold the truth, of what is carried and of where the losses went, and what is said of a check that is wrong or of a log
that is not complete. A keeper (`keeper`) also doses additives, filters, treats with carbon, weighs parts or anodes and
forgets a run now and then; the cathode deposits less than its charge. Each bath is one line of the state file, so that a
run can be ended and gone on with. The balance, the densities (read off the CRC's rows) and the owner's hands are written
here; of the tool only its own answers are used. Not collected by pytest; a small part of it is in
`tests/record/test_years.py`.
"""
