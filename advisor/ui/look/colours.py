"""The colours of the charts, for a light and a dark page; each at least 3:1 against its background."""

Colours = dict[str, str]
LIGHT: Colours = {"window": "#23705F", "bath": "#0F5F8C", "path": "#9C4A1A", "saturation": "#55646A", "ink": "#1D2A2F"}
DARK: Colours = {"window": "#7FCBB5", "bath": "#78BDE8", "path": "#E9A172", "saturation": "#A5B4B9", "ink": "#EAF0F1"}
COPPER = "#C07440"  # the growing deposit, on either page
