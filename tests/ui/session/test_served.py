"""By which names the app answers; what it does with the others is tried in tests/browser/test_security.py."""

import pytest
import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFileRec

from advisor.ui.session import served
from advisor.ui.session.served import is_our_own


@pytest.mark.parametrize(
    "host",
    ["localhost:8501", "LOCALHOST", "127.0.0.1:9000", "[::1]:8501", "192.168.1.20:8501", "[fe80::1]", "0.0.0.0:8501"],
)
def test_addresses_in_numbers_and_this_computer_are_its_own(host):
    assert is_our_own(host)


@pytest.mark.parametrize(
    "host",
    [
        "elsewhere.example:8501",
        "localhost.elsewhere.example",
        "127.0.0.1.elsewhere.example:8501",
        "localhost@elsewhere.example",
        "elsewhere.example:localhost",
        "[::1",
        "none",
        ":8501",
        "",
    ],
)
def test_a_name_that_another_site_may_have_is_not(host):
    assert not is_our_own(host)


@pytest.mark.parametrize("option", ["server.address", "browser.serverAddress"])
def test_a_name_that_it_was_started_with_is_its_own(option, monkeypatch):
    monkeypatch.setattr(st, "get_option", {option: "Bath.example"}.get)
    assert is_our_own("bath.example")
    assert is_our_own("bath.example:443")
    assert not is_our_own("example")


def test_a_visit_holds_so_much_of_what_it_uploads_and_the_newest(monkeypatch):
    monkeypatch.setattr(served, "MOST_HELD", 250)
    uploads = served.UploadsOfVisits("/upload")
    for visit in ("a", "b"):
        for number, size in enumerate((100, 100, 100, 300, 20)):
            uploads.add_file(visit, UploadedFileRec(f"{number}", "name", "text/plain", b"x" * size))
            assert f"{number}" in uploads.file_storage[visit]
    assert [[*held] for held in uploads.file_storage.values()] == [["4"], ["4"]]
