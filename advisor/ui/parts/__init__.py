"""Parts of pages: cards, forms and lists that the pages put together."""
