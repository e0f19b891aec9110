"""The colours of the charts, for a light and a dark page; each at least 3:1 against its background."""

Colours = dict[str, str]
LIGHT: Colours = {"window": "#4C8A5B", "bath": "#17607D", "path": "#A8562A", "saturation": "#6B6F76", "ink": "#23302F"}
DARK: Colours = {"window": "#7CC48D", "bath": "#6FBBDD", "path": "#E59A6B", "saturation": "#A9AFB6", "ink": "#E8E5DE"}
COPPER = "#C07440"  # the growing deposit, on either page
