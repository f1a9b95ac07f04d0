"""`report --watch`: what is served, to whom, and what follows a saved edit."""

from __future__ import annotations

import gc
import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from click.testing import CliRunner

from buildcheck.commands.command import cli
from buildcheck.commands.stamps import stamp
from buildcheck.commands.watching import Watched, follow, server, serving

EXAMPLES = Path(__file__).parents[2] / "examples"
MINIMAL = EXAMPLES / "minimal.buildcheck.yaml"


def asked(address: str, path: str, *, host: str = "") -> tuple[int, bytes]:
    """Status and body of what is answered to a request for a path."""
    whole = urlsplit(address)
    assert whole.hostname == "127.0.0.1"
    connection = HTTPConnection(whole.hostname, whole.port or 0, timeout=60)
    connection.request("GET", path, headers={"Host": host or whole.netloc})
    answer = connection.getresponse()
    body = answer.read()
    connection.close()
    return answer.status, body


@pytest.fixture
def watched() -> Iterator[tuple[Watched, str]]:
    made = Watched()
    made.tell(says="first", html="<p>one</p>")
    with serving(made) as address:
        yield made, address


def test_the_page_is_behind_its_token_and_nothing_else_is_served(watched: tuple[Watched, str]) -> None:
    _, address = watched
    path = urlsplit(address).path
    assert len(path) > 20
    assert asked(address, path) == (200, b"<p>one</p>")
    others = ("/", path[:-2], f"{path}report.html", f"/x{path}", f"{path}../", "/etc/passwd", f"{path}state/x", "//")
    for other in others:
        assert asked(address, other) == (404, b"")
    # A name of another site that points here gets nothing.
    assert asked(address, path, host="example.org") == (404, b"")


def test_each_server_has_a_port_and_a_token_of_its_own() -> None:
    made = [server(Watched()) for _ in range(3)]
    assert len({address for _, address in made}) == 3
    assert len({urlsplit(address).path for _, address in made}) == 3
    assert all(each.server_address[0] == "127.0.0.1" for each, _ in made)
    for each, _ in made:
        each.server_close()


def test_who_asks_for_something_newer_gets_it_as_it_comes(watched: tuple[Watched, str]) -> None:
    made, address = watched
    path = f"{urlsplit(address).path}state"
    first = json.loads(asked(address, f"{path}?after=0")[1])
    assert first == {"number": 1, "page": 1, "says": "first", "slips": []}
    later = threading.Timer(0.2, lambda: made.tell(slips=("line 3: no",)))
    later.start()
    began = time.monotonic()
    found = json.loads(asked(address, f"{path}?after=1")[1])
    assert time.monotonic() - began < 5
    assert found == {"number": 2, "page": 1, "says": "", "slips": ["line 3: no"]}  # the page is the last good one
    assert asked(address, urlsplit(address).path)[1] == b"<p>one</p>"
    made.tell(says="third", html="<p>two</p>")
    assert json.loads(asked(address, f"{path}?after=nonsense")[1])["page"] == 2


def test_a_file_is_read_once_for_each_edit_and_when_the_editor_is_done(tmp_path: Path) -> None:
    file = tmp_path / "spec.yaml"
    file.write_text("a", encoding="utf-8")
    seen: list[str] = []
    ended = threading.Event()

    def changed() -> None:
        seen.append(file.read_text(encoding="utf-8") if file.exists() else "gone")

    thread = threading.Thread(target=follow, args=(str(file), stamp(str(file)), changed, ended.is_set))
    thread.start()

    def wait_for(number: int) -> None:
        end = time.monotonic() + 20
        while len(seen) < number and time.monotonic() < end:
            time.sleep(0.01)
        assert len(seen) == number

    beside = tmp_path / "beside"
    beside.write_text("bb", encoding="utf-8")
    beside.replace(file)  # as an editor saves that writes beside the file
    wait_for(1)
    file.write_text("ccc", encoding="utf-8")
    wait_for(2)
    file.unlink()
    wait_for(3)
    file.write_text("dddd", encoding="utf-8")
    wait_for(4)
    ended.set()
    thread.join()
    assert seen == ["bb", "ccc", "gone", "dddd"]


def test_the_command_follows_edits_and_slips_until_ctrl_c(tmp_path: Path) -> None:
    spec = tmp_path / "truck.buildcheck.yaml"
    good = "format: 1\nunits: metric\n"
    spec.write_text(good, encoding="utf-8")
    command = [sys.executable, "-m", "buildcheck", "report", str(spec), "--watch"]
    run = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"})
    try:
        assert run.stdout is not None
        address = run.stdout.readline().rsplit(" ", 1)[1].strip()
        assert run.stdout.readline() == "Ctrl-C ends it.\n"
        path = urlsplit(address).path
        page = asked(address, path)[1].decode()
        assert 'data-live="1"' in page
        assert "connect-src &#39;self&#39;" in page

        def state(after: int) -> dict[str, object]:
            found: dict[str, object] = json.loads(asked(address, f"{path}state?after={after}")[1])
            return found

        spec.write_text(good.replace("format: 1", "format: 1\nbild: {}"), encoding="utf-8")
        slips = state(1)
        assert slips["page"] == 1
        assert "bild" in str(slips["slips"])
        assert "line 2: " in str(slips["slips"])
        spec.write_text(good.replace("units:", "build: {name: Renamed}\nunits:"), encoding="utf-8")
        found = state(2)
        while found["page"] == 1:
            assert not found["slips"]
            found = state(int(str(found["number"])))
        assert found["page"] == 2
        assert "<bdi>Renamed</bdi>" in asked(address, path)[1].decode()
        run.send_signal(signal.SIGINT)
        assert run.stdout.read() == "Ended.\n"
        assert run.wait(30) == 0
    finally:
        run.kill()
        run.communicate()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((str(MINIMAL), "--watch", "--to", "x.html"), "--watch shows the report and writes no file"),
        (("-", "--watch"), "--watch follows a file"),
        ((str(MINIMAL),), "--to takes a file that ends in .html or .pdf; --watch shows the report without one"),
        ((str(MINIMAL), "--to", "x.html", "--short"), "--short is for a .pdf"),
        ((str(MINIMAL), "--watch", "--prove"), "--prove takes longer than an edit"),
    ],
)
def test_wrong_usage_is_refused(arguments: tuple[str, ...], said: str) -> None:
    done = CliRunner().invoke(cli, ["report", *arguments])
    assert done.exit_code == 2
    assert said in done.stderr


def test_edits_leave_memory_as_it_was(tmp_path: Path, long_tier: bool) -> None:
    """The page of a small spec is made again and again, in the long tier a thousand times; after the last edit as many
    objects are held as before."""
    from buildcheck.commands.inspect import outcome_of
    from buildcheck.commands.plugged import collected_with
    from buildcheck.output.outcome import Inspected
    from buildcheck.output.report.page import page

    most = 1000 if long_tier else 30
    spec = tmp_path / "truck.buildcheck.yaml"
    collected, made = collected_with((), ()), Watched()

    def edit(number: int) -> None:
        spec.write_text(f"format: 1\nunits: metric\nbuild: {{name: edit {number}}}\n", encoding="utf-8")
        (found,) = outcome_of([str(spec)], None, (), (), collected, {str(spec): None}, changes=False).specs
        assert isinstance(found, Inspected)
        made.tell(html=page(found, "1", live=number + 1))

    def held() -> int:
        gc.collect()
        return len(gc.get_objects())

    for number in range(10):
        edit(number)
    before = held()
    for number in range(10, 10 + most):
        edit(number)
    assert made.state.page == 10 + most
    assert held() - before < most  # less than one object for each edit
