"""How an answer is said: titled blocks, recurring sentences, the trade's words, the terminal and the printed page."""
