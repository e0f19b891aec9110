"""What is seen of a deposit, chosen by picture: the drawings of the looks are the buttons, by where they show."""

from __future__ import annotations

import streamlit as st

from advisor.sheet import LOOKS
from advisor.ui import drawings, fields
from advisor.ui.parts import tiles
from advisor.ui.session import heard, state

GROUPS: dict[str, tuple[str, ...]] = {
    "On the part": (
        "dull", "rough", "burnt edges", "nodules", "pits", "streaks", "brittle", "peeling", "thin recesses",
        "one side thick", "slow build", "copper powder", "matte salmon", "green tint", "fizzing part",
    ),
    "At the anode": ("black anode sludge", "white anode crust", "current falls"),
    "In the bath": ("blue crystals", "cloudy bath", "foam"),
}  # fmt: skip


def show(entry: state.Typed[object]) -> None:
    """Draw the looks as tiles, and what is wrong with what the sheet holds of them."""
    given = state.part("deposit").get("looks", ())
    for number, (title, looks) in enumerate(GROUPS.items()):
        key, chosen = _key(number), [look for look in looks if look in given]
        heard.write(key, chosen)
        with st.container(key=f"tiles_looks_{number}"):
            tiles.draw_on(f"tiles_looks_{number}", [drawings.drawing(look).svg for look in looks])
            st.pills(
                title,
                looks,
                selection_mode="multi",
                default=chosen,
                key=key,
                on_change=_store,
                args=(key,),
                wrap=True,
                width="stretch",
            )
    if wrong := entry.errors.get("deposit: looks"):
        fields.complain(wrong)


def _key(number: int) -> str:
    return state.key_of("deposit", f"looks_{number}")


def _store(key: str) -> None:
    """Write what is chosen to the sheet, in the order in which a sheet lists it."""
    is_of_now = key in map(_key, range(len(GROUPS)))  # else of before the fields started afresh
    if is_of_now and heard.is_typed(key):
        chosen = {look for number in range(len(GROUPS)) for look in st.session_state.get(_key(number)) or ()}
        state.put("deposit", "looks", [look for look in LOOKS if look in chosen])
