"""What a double click on the folder's program runs: the app, or, with the words of the command line, what they ask for.

PyInstaller begins here; see double_click.spec.
"""

import multiprocessing
import sys

from advisor import launch
from advisor.__main__ import main

if __name__ == "__main__":
    multiprocessing.freeze_support()
    if len(sys.argv) > 1 and not sys.argv[1].startswith("--"):
        sys.exit(main(sys.argv[1:]))
    # Streamlit takes whatever lies outside site-packages for a copy of its own developers'.
    launch.main(["--global.developmentMode=false", *sys.argv[1:]])
