"""How the app looks beyond the colours in .streamlit/config.toml: the picture in the browser's tab."""

# Drawn here because Streamlit would fetch an emoji's or a symbol's picture from a foreign host.
ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32">'
    '<path d="M5 5v20a3 3 0 0 0 3 3h16a3 3 0 0 0 3-3V5h-3v20H8V5z" fill="#8A5A3C"/>'
    '<path d="M8 12h16v13H8z" fill="#2F86A8"/>'
    '<path d="M14.5 3h3v17h-3z" fill="#C9794A"/></svg>'
)
