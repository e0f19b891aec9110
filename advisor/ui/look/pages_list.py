"""The pages of the app, in the order in which they stand in the menu.

A page is added here and nowhere else; the app opens with the first. What a page shows is in its file.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Page:
    """One page: its file in the pages folder, its name in the menu, its mark, and the last part of its address.

    icon: a name in the set of Material symbols that Streamlit carries. tab: its name at the foot of a phone's screen,
    empty for what stands under More.
    """

    file: str
    title: str
    icon: str
    url_path: str
    tab: str = ""


PAGES_IN_ORDER = (
    Page("home.py", "Baths", "water_drop", "baths", tab="Baths"),
    Page("check.py", "Check", "science", "check", tab="Check"),
    Page("correct.py", "Correct", "checklist", "correct"),
    Page("plating_run.py", "Plating run", "bolt", "plating-run", tab="Plate"),
    Page("deposit_faults.py", "Deposit faults", "search", "deposit-faults"),
    Page("keep_or_remake.py", "Keep or remake", "recycling", "keep-or-remake"),
    Page("mix.py", "Mix", "blender", "mix"),
    Page("treatments.py", "Anodes and care", "cleaning_services", "treatments"),
    Page("parts.py", "Parts and shopping", "shopping_bag", "parts"),
    Page("methods.py", "Methods", "menu_book", "methods"),
    Page("upkeep.py", "Upkeep", "event_available", "upkeep"),
    Page("logbook.py", "Logbook", "history", "logbook", tab="Logbook"),
    Page("glossary.py", "Words", "translate", "words"),
)
# Titles of those on which no example is marked: they show the record, no bath, or steps whose first dose stands high up
# and whose answer is marked.
UNMARKED = frozenset(("Baths", "Upkeep", "Logbook", "Words", "Correct"))
