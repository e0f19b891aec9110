"""The pages of the app, in the order in which they stand in the menu.

A page is added here and nowhere else; the app opens with the first. What a page shows is in its file.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Page:
    """One page: its file in the pages folder, its name in the menu, and the last part of its address."""

    file: str
    title: str
    url_path: str


PAGES_IN_ORDER = (
    Page(file="home.py", title="Home", url_path="home"),
    Page(file="check.py", title="Check", url_path="check"),
    Page(file="correct.py", title="Correct", url_path="correct"),
    Page(file="plating_run.py", title="Plating run", url_path="plating-run"),
    Page(file="deposit_faults.py", title="Deposit faults", url_path="deposit-faults"),
    Page(file="keep_or_remake.py", title="Keep or remake", url_path="keep-or-remake"),
    Page(file="mix.py", title="Mix", url_path="mix"),
    Page(file="methods.py", title="Methods", url_path="methods"),
    Page(file="logbook.py", title="Logbook", url_path="logbook"),
    Page(file="glossary.py", title="Words", url_path="words"),
)
