"""How to do a test with what is owned: the gear, strengths of titrants, plans of a sample, and the cards."""
