"""Nobody else gets in, and nothing that a person typed is taken for anything but text, on any page or on paper."""

import http.client
import json
import socket
import tomllib
import urllib.request

import pytest

from advisor.examples import example_text
from advisor.sheet import LARGEST_FILE
from advisor.ui.session.served import SCRIPTS
from tests.browser.steps import (
    ADDRESSES,
    DESK_ONLY,
    PRINT,
    YOUR_BATH,
    download,
    follow_menu,
    open_page,
    settle,
    unfold,
    upload,
)

pytestmark = pytest.mark.browser

# The picture's address is on this computer and answered by no one; the tab counts it as a foreign request.
PICTURE = "![p](http://127.0.0.2:9/x.png)"
HOSTILE = (
    f"<img src=x onerror=alert(1)><script>alert(2)</script> {PICTURE} [l](javascript:alert(3)) **b** :smile: $x^2$"
)
NAME = json.dumps(HOSTILE)
SHEET = f"""
[bath]
name = {NAME}
volume = "5.6 L"
iron = {NAME}

[window]
name = {NAME}

[stock.crystals]
form = {NAME}

[gear]
have = [{NAME}, "hydrometer"]

[keep]
mixed_jar = {NAME}

[deposit]
looks = [{NAME}, "dull"]

[mix]
volume = {NAME}

[plate]
area = {NAME}

[[reading]]
kind = "hydrometer"
value = "1.134"
scale = "SG 20/20"
note = {NAME}
"""
SHORT = f"<img src=x onerror=alert(1)> {PICTURE} **b**"  # a bath's name has at most 80 characters
SOUND = (
    example_text("dull")
    .replace('"Leafcast, big tank (example)"', json.dumps(SHORT))
    .replace('"swirled until no bubble rose"', NAME)
)
BROUGHT_IN = 'main :is(img[src="x"], img[src*="127.0.0.2"], [onerror], script, a[href^="javascript"])'


# Taps once on each folded part, also on those that are drawn late, and tells whether all stand open.
UNFOLDED = """() => {
    const folded = [...document.querySelectorAll("main details:not([open])")]
    for (const part of folded) {
        if (!part.dataset.tapped) part.querySelector(":scope > summary").click()
        part.dataset.tapped = "yes"
    }
    return !folded.length
}"""


def assert_only_text(page):
    assert page.locator(BROUGHT_IN).count() == 0


def open_sheet(page, text, is_answered=False):
    unfold(page, "Start from an example or a file")
    upload(page, "hostile.toml", text.encode())
    if is_answered:
        unfold(page, YOUR_BATH)
    name = json.dumps(tomllib.loads(text)["bath"]["name"])
    page.get_by_role("textbox", name="Name of the bath").and_(page.locator(f"[value={name}]")).wait_for()
    settle(page)
    assert_only_text(page)


def walk(page, titles):
    """Go by the menu, which keeps the sheet, unfold in one go what stands there, and see that each page shows text."""
    for title in titles:
        follow_menu(page, title)
        page.wait_for_function(UNFOLDED)
        settle(page)
        assert_only_text(page)


@DESK_ONLY
def test_a_hostile_name_is_text_on_paper_in_the_record_and_on_every_page(page, visitor):
    open_page(page, "Check")
    open_sheet(page, SOUND, is_answered=True)
    page.get_by_role("button", name="Save this check").click()
    page.get_by_text("Saved in the logbook").wait_for()
    assert_only_text(page)

    walk(page, ["Correct"])
    paper = visitor(1280)
    paper.set_content(download(page, PRINT))
    assert SHORT in paper.get_by_role("heading", level=1).inner_text()
    assert paper.locator("img:not([src^='data:image/svg+xml,']), script, a, [onerror]").count() == 0

    walk(page, ["Logbook"])
    page.get_by_role("textbox", name="Bath in the tank").first.fill("5.5 L")
    page.get_by_role("textbox", name="Note").first.fill(HOSTILE)
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("Written down as entry").wait_for()
    assert_only_text(page)
    another = json.loads(download(page, "Export (JSON)"))
    moved = json.dumps(another).replace("onerror=alert(1)", "onerror=alert(4)")
    page.locator("input[type=file]").last.set_input_files(
        {"name": "moved.json", "mimeType": "application/json", "buffer": moved.encode()}
    )
    page.get_by_role("button", name="Import this").wait_for()
    assert_only_text(page)

    walk(page, ["Check"])
    open_sheet(page, SHEET)  # of hostile words, so that nothing is answered; the record stands beside it
    walk(page, [title for title in ADDRESSES if title != "Words"])  # which shows nothing that anybody typed


def test_the_server_listens_on_this_computer_only(server):
    with pytest.raises(ConnectionRefusedError), socket.create_connection(("127.0.0.2", server.port), timeout=5):
        pass  # what listens on all addresses answers here too
    socket.create_connection(("127.0.0.1", server.port), timeout=5).close()


def test_a_site_whose_name_leads_here_gets_neither_the_page_nor_its_connection(server):
    # Its page and the app are one site then, to the browser and to Streamlit. A tunnel may begin at another port.
    shake_hands = {"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13"}
    shake_hands |= {"Sec-WebSocket-Key": "x3JJHMbDL1EzLkh9GBhXDw=="}
    for host, page, connection in (("elsewhere.example:8501", 421, 403), ("localhost:9000", 200, 101)):
        for path, headers, status in (("/", {}, page), ("/_stcore/stream", shake_hands, connection)):
            asked = http.client.HTTPConnection("127.0.0.1", server.port, timeout=10)
            asked.request("GET", path, headers=headers | {"Host": host, "Origin": f"http://{host}"})
            answer = asked.getresponse()
            assert answer.status == status
            if status == 421:
                assert "its address in numbers" in answer.read().decode()
            asked.close()


def test_a_page_brings_its_script_and_is_not_kept_for_another_version(server):
    kept = {"Accept": "text/html", "If-Modified-Since": "Fri, 01 Jan 2100 00:00:00 GMT"}
    with urllib.request.urlopen(urllib.request.Request(f"{server.url}/logbook", headers=kept)) as answer:
        assert answer.status == 200
        assert answer.headers["ETag"] is None
        assert answer.read().count(SCRIPTS) == 1


def test_no_other_site_can_show_the_app_in_a_frame(server, browser):
    with urllib.request.urlopen(server.url) as answer:
        assert answer.headers["X-Frame-Options"] == "SAMEORIGIN"
        assert answer.headers["Content-Security-Policy"] == "frame-ancestors 'self'"
    page = browser.new_page()
    page.route(
        "http://elsewhere.example/",
        lambda route: route.fulfill(body=f'<iframe src="{server.url}">', content_type="text/html"),
    )
    page.goto("http://elsewhere.example/")
    page.wait_for_timeout(500)
    assert [frame.url for frame in page.frames[1:]] == ["chrome-error://chromewebdata/"]
    page.close()


@DESK_ONLY
def test_a_file_that_is_no_sheet_is_refused_and_the_sheet_stays(page, tmp_path):
    open_page(page, "Check", "dull")
    unfold(page, YOUR_BATH)
    unfold(page, "Start from an example or a file")
    # No two neighbours get the same words: else those of the file before would pass for an answer to this one, and the
    # next file would be put in while this one is still on its way, and be lost.
    for name, content, said in (
        ("zeros.toml", bytes(1000), "it is not sound TOML"),
        ("binary.toml", bytes(range(256)) * 20, "it is not text in UTF-8"),
        ("deep.toml", b"a = " + b"[" * 100_000, "it is not sound TOML"),
        ("other.toml", b'[bath]\ncolour = "blue"\n', "there is no such key"),
        ("empty_kind.toml", b'[bath]\nvolume = "5 L"\n[[reading]]\n', "it must be one of: acid titration"),
        ("large.toml", b"#" * (LARGEST_FILE + 1), "must be 1.0MB or smaller"),  # Streamlit's words; it sends nothing
    ):
        (tmp_path / name).write_bytes(content)
        page.locator("input[type=file]").first.set_input_files(tmp_path / name)
        page.get_by_text(name).first.wait_for()
        page.get_by_role("main").get_by_text(said).last.wait_for()
        settle(page)
        assert page.get_by_role("textbox", name="Name of the bath").input_value() == "Leafcast, big tank (example)"
    upload(page, "picture.png", b"\x89PNG")
    page.get_by_text("not allowed").first.wait_for()
