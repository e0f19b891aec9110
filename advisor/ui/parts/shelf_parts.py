"""The price list as fields, a pack after the other, and what a bath loses as its logbook tells it."""

from __future__ import annotations

import streamlit as st

from advisor.basis.fields import InputError
from advisor.record.ahead import losses_ahead
from advisor.record.asked import label_dose
from advisor.record.at_hand import at_hand
from advisor.record.drift import Explanation
from advisor.record.logbook import Logbook, LogbookError
from advisor.record.trend import WHY
from advisor.record.upkeep import dosed_by_charge
from advisor.sheet import GEAR, SUPPLIES, Pack
from advisor.ui import fields
from advisor.ui.look.own_units import shown
from advisor.ui.session import state
from advisor.words.lines import capital, line

_WHAT = "shelf_what"
LOSSES = (
    "If it goes on as between its last two checks, it loses {water} of water a week and {bath} of bath a month, and "
    "{plated} are plated in a month."
)


def show(entry: state.Typed[object]) -> None:
    """Draw each pack with its fields, and the way to add one."""
    for number, raw in enumerate(state.raw().get("shelf", []), 1):
        what = str(raw.get("what", ""))
        size = Pack(what, price=0.0).counted_by
        with st.container(border=True, key=f"shelf_{number}"):
            with st.container(horizontal=True, horizontal_alignment="distribute", vertical_alignment="center"):
                st.markdown(f"**{fields.plain(capital(what))}**", width="content")
                st.button(
                    f"Remove pack {number}",
                    key=f"shelf_remove_{number}",
                    type="tertiary",
                    on_click=_remove,
                    args=(number, state.widget_round(f"shelf {number}")),
                )
            here = ["here"] if size and what not in Pack.STOCKED else []
            fields.show(f"shelf {number}", entry, main=[*([size] if size else []), "price", "name", *here], more=None)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.selectbox("What it is", list(dict.fromkeys((*SUPPLIES, *GEAR))), key=_WHAT, width=260)
        st.button("Add a pack", key="shelf_add", on_click=_add)


def _add() -> None:
    if state.first_tap("add pack"):
        state.raw().setdefault("shelf", []).append({"what": st.session_state[_WHAT]})


def _remove(number: int, widget_round: int) -> None:
    """Take out the pack whose button was tapped; a second tap in a row, or on an earlier page, takes no other."""
    if widget_round == state.widget_round(f"shelf {number}") and state.first_tap("remove pack"):
        state.remove_pack(number)


def from_the_logbook() -> None:
    """Offer what the logbook says of the losses and the additive of this bath; nothing where it does not tell."""
    name = str(state.part("bath").get("name", ""))
    try:
        logbook = Logbook()
        if not name or name not in logbook.baths():
            return
        change, bottle = at_hand(logbook, name).where_it_went(), dosed_by_charge(logbook, name)
    except (LogbookError, InputError):
        return
    found: dict[str, str] = {}
    if isinstance(change, Explanation):
        losses = losses_ahead(change)
        found |= {name: str(amount).replace("A·h", "A*h") for name, amount in losses.items()}
        st.caption(fields.plain(shown(line(LOSSES, **losses))))
        for doubt in change.doubts:
            st.caption(fields.plain(f"{WHY[doubt]}. Until then, do not count on these amounts."))
    if bottle and bottle.per_ampere_hour:
        found["additive"] = bottle.per_ampere_hour.text
        st.caption(fields.plain(f"Its label says {label_dose(bottle)}."))
    if found:
        st.button("Take that over", key="shelf_from_logbook", on_click=_take_over, args=(found,))


def _take_over(found: dict[str, str]) -> None:
    for name, amount in found.items():
        state.put("buy", name, amount)
    state.forget_widgets()
