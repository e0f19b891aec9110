"""How all pages look: the style, the list of pages, printing, and the units of the person."""
