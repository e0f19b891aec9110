"""The colours of the map, light and dark, each but the hairline at least 3:1 against its ground; how charts look."""

Colours = dict[str, str]
LIGHT: Colours = {"window": "#23705F", "bath": "#0F5F8C", "path": "#9C4A1A", "saturation": "#55646A"}
LIGHT |= {"ink": "#1D2A2F", "line": "#DDD6C8"}
PAGE = {"light": "#FBF9F4", "dark": "#11181B"}  # what they stand on
DARK: Colours = {"window": "#7FCBB5", "bath": "#78BDE8", "path": "#E9A172", "saturation": "#A5B4B9"}
DARK |= {"ink": "#EAF0F1", "line": "#2F3C42"}
COPPER = "#C07440"  # the growing deposit, on either page
# A chart stands in the page itself, so its colours are the properties of style.css: they change with the theme at once.
CHART: Colours = {"window": "var(--verdigris)", "bath": "var(--bath)", "path": "var(--copper)"}
CHART |= {"saturation": "var(--soft)", "ink": "var(--ink)", "line": "var(--line)"}


# px below a chart: without it Streamlit leaves 20, taken from the height of the chart itself.
NO_GAP = {"bottom": 5}  # judgement


def style() -> dict[str, object]:
    """Return how every chart looks: the page's ink and lesser ink, hairlines, words of 12 px and more."""
    soft, hair = CHART["saturation"], CHART["line"]
    axis = {"labelColor": soft, "titleColor": soft, "gridColor": hair, "domainColor": hair, "tickColor": hair}
    sizes = {"labelFontSize": 12, "titleFontSize": 12, "titleFontWeight": 400}
    return {"axis": {**axis, **sizes, "gridOpacity": 0.5}, "view": {"stroke": hair}, "background": "transparent"}
