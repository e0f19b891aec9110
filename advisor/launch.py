"""Starts the app: hands app.py to Streamlit's own server, which opens the browser where there is a display.

Settings stand in .streamlit/config.toml beside app.py. What the app shows is no business of this module.
"""

import argparse
import os
from collections.abc import Sequence
from pathlib import Path

from advisor.examples import EXAMPLE_VARIABLE, example_text

APP = Path(__file__).resolve().parent / "app.py"


def main(arguments: Sequence[str]) -> None:
    """Open the app and serve it until it is stopped; ends the process as Streamlit ends it.

    `arguments` are the words of the command line: `--example NAME` opens with that example bath loaded, and
    any flag of Streamlit's (`--server.port 8600`) is passed on. A stray word ends it with exit code 2.
    """
    parser = argparse.ArgumentParser(prog="python -m advisor", allow_abbrev=False)
    parser.add_argument("--example", metavar="NAME", help="open with this example bath loaded")
    options, flags = parser.parse_known_args(arguments)
    if flags and not flags[0].startswith("--"):
        parser.error(f"unknown command: {flags[0]}")
    if options.example:
        example_text(options.example)  # raises InputError for a name that is not there, before the app starts
        os.environ[EXAMPLE_VARIABLE] = options.example

    # Here and not above: the command line answers without waiting for Streamlit.
    from streamlit import net_util
    from streamlit.web import cli

    from advisor.ui.session.served import add_our_own

    add_our_own()
    # Streamlit would ask a server in the internet for this network's public address: at a start without a display, and
    # before it refuses a foreign page. Nothing is to leave this computer, and no one is let in by that address.
    net_util.get_external_ip = lambda: None
    cli.main(args=["run", str(APP), *flags], prog_name="streamlit")
