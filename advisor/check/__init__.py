"""The main way, from a bench sheet to advice on the bath: what it holds, where that stands, and what to do."""
