"""What the launcher hands to Streamlit; the server itself is tested in tests/browser."""

import os
import re
import tomllib

import pytest
from streamlit import config, net_util
from streamlit.web import cli
from streamlit.web.server.server_util import is_url_from_allowed_origins

from advisor import launch
from advisor.examples import requested_example


@pytest.fixture
def started(monkeypatch):
    calls = []
    monkeypatch.setattr(cli, "main", lambda args, prog_name: calls.append(args))
    monkeypatch.setattr(os, "environ", dict(os.environ))
    monkeypatch.setattr(net_util, "get_external_ip", net_util.get_external_ip)  # so that it is put back
    return calls


def test_starts_the_app_and_passes_flags_on(started):
    launch.main(["--server.port", "8600", "--server.headless=true"])
    assert started == [["run", str(launch.APP), "--server.port", "8600", "--server.headless=true"]]
    assert requested_example() is None


@pytest.mark.parametrize("arguments", [["--example", "dull"], ["--example=dull"]])
def test_example_reaches_the_pages_and_not_streamlit(started, arguments):
    launch.main([*arguments, "--server.port=8600"])
    assert started == [["run", str(launch.APP), "--server.port=8600"]]
    assert requested_example() == "dull"


def test_a_stray_word_is_refused_by_name(started, capsys):
    with pytest.raises(SystemExit) as ended:
        launch.main(["chekc"])
    assert ended.value.code == 2
    assert "chekc" in capsys.readouterr().err
    assert started == []


def test_nothing_is_asked_of_the_internet_before_a_foreign_page_is_refused(started, monkeypatch):
    asked = []
    monkeypatch.setattr(net_util, "_make_blocking_http_get", lambda *_, **__: asked.append("asked"))
    launch.main([])
    assert not is_url_from_allowed_origins("http://elsewhere.example")
    assert asked == []


def test_tunnel_firewall_and_web_server_name_the_port_that_the_app_has_unless_told_otherwise():
    told = (launch.APP.parent / "words" / "on_a_network.md").read_text("utf-8")
    port = config.get_option("server.port")
    assert told.count(f"localhost:{port}") == told.count("localhost:") == 4
    assert f"ssh -L {port}:localhost:{port} you@" in told
    assert f"to any port {port} proto tcp" in told


def test_a_web_server_in_front_passes_on_the_largest_file_that_any_page_takes():
    told = (launch.APP.parent / "words" / "on_a_network.md").read_text("utf-8")
    settings = tomllib.loads((launch.APP.parent / ".streamlit" / "config.toml").read_text("utf-8"))
    most = settings["server"]["maxUploadSize"]
    assert f"client_max_body_size {most}m;" in told
    assert f"more than {most} MB" in " ".join(told.split())


def test_commands_that_write_below_etc_do_so_with_the_rights_of_root():
    """`sudo echo … > /etc/…` would not: the shell of the person opens the file."""
    told = (launch.APP.parent / "words" / "on_a_network.md").read_text("utf-8")
    commands = re.findall(r"`([^`\n]*>\s*/etc/[^`\n]*)`", told)
    assert commands
    assert all(re.fullmatch(r"sudo sh -c '[^']*'", command) for command in commands)
