"""Every page of the app runs, and no page is forgotten."""

import sys

import pytest

from advisor.launch import APP
from advisor.places import PAGES
from advisor.ui.pages_list import PAGES_IN_ORDER


@pytest.mark.parametrize("page", PAGES_IN_ORDER, ids=lambda page: page.url_path)
def test_page_opens_without_exception(app_test, page):
    app = app_test(page.file)
    assert not app.exception
    assert len(app.title) == 1


def test_every_page_file_is_listed_once():
    listed = [page.file for page in PAGES_IN_ORDER]
    assert sorted(listed) == sorted(path.name for path in PAGES.glob("*.py"))


def test_app_takes_its_own_folder_off_the_path(app_test, monkeypatch):
    monkeypatch.setattr(sys, "path", [str(APP.parent), *sys.path])
    app_test(PAGES_IN_ORDER[0].file)
    assert str(APP.parent) not in sys.path
    assert str(APP.parent.parent) in sys.path
