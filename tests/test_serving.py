"""Serving for real: processes, ports, names, and the demo's own file."""

import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, build_opener

import pytest

from webapp.problems import Conflict
from webapp.serving import listening
from webapp.yard.keep_file import open_yard

ADDRESS = re.compile(r"http://127\.0\.0\.1:(\d+)/")
PATIENCE_S = 60


def command(*words: str) -> list[str]:
    return [sys.executable, "-m", "webapp", *words]


@contextmanager
def served(url: str, name: str = "serve") -> Iterator[tuple[subprocess.Popen[str], int, str]]:
    """Start a command on a free port; it is stopped as a service would stop it."""
    words = command(name, "--port", "0", "--database", url)
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout
        told = ""
        try:
            while not (found := ADDRESS.search(told)):
                line = process.stdout.readline()
                assert line, f"{name} ended early, having said: {told}"
                told += line
            yield process, int(found[1]), told
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait(PATIENCE_S)


def tried(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command(*words), capture_output=True, text=True, timeout=PATIENCE_S, check=False
    )


def answer_to(port: int, host: str) -> tuple[int, str]:
    connection = HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    try:
        connection.request("GET", "/", headers={"Host": host})
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    finally:
        connection.close()


def test_serve_answers_to_its_own_names_and_keeps_others_out(tmp_path: Path) -> None:
    file = tmp_path / "yard.sqlite"
    url = f"sqlite:///{file}"
    with served(url) as (process, port, _told):
        assert answer_to(port, f"localhost:{port}")[0] == 200
        status, page = answer_to(port, "flitchbook.example")
        assert status == 400
        assert "does not answer to this name" in page

        second = tried("serve", "--port", "0", "--database", url)
        assert second.returncode == 2
        assert "served already" in second.stderr
        assert second.stdout == ""

        elsewhere = tried("serve", "--port", str(port), "--database", f"{url}.other")
        assert elsewhere.returncode == 2
        assert f"Port {port}" in elsewhere.stderr
        assert not Path(f"{file}.other").exists()
    assert process.returncode == 0
    with served(url):  # what was held is free again
        pass


def test_serve_listens_to_this_computer_only() -> None:
    with listening(0) as door:
        assert door.getsockname()[0] == "127.0.0.1"


def test_port_in_use_is_a_problem_with_a_sentence() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(Conflict, match=f"Port {port}"), listening(port):
            pass


def test_demo_leaves_a_real_yard_alone(tmp_path: Path) -> None:
    file = tmp_path / "yard.sqlite"
    open_yard(f"sqlite:///{file}").close()
    before = file.read_bytes()
    refused = tried("demo", "--port", "0", "--database", f"sqlite:///{file}")
    assert refused.returncode == 2
    assert "not made by the demo" in refused.stderr
    assert file.read_bytes() == before


def test_demo_is_made_once_a_day(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'demo.sqlite'}"
    with served(url, "demo") as (_process, port, told):
        assert "Making the invented yard" in told
        status, page = answer_to(port, "127.0.0.1")
        assert status == 200
        assert "Flitchbook" in page
    with served(url, "demo") as (_process, port, told):
        assert "Making" not in told
        assert answer_to(port, "127.0.0.1")[0] == 200
    (tmp_path / "demo.sqlite.made-on").write_text("2020-02-02\n", encoding="ascii")
    with served(url, "demo") as (_process, port, told):
        assert "Making the invented yard" in told
        assert answer_to(port, "127.0.0.1")[0] == 200


def test_the_invented_yard_is_entered_from_a_real_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    browser = build_opener(HTTPCookieProcessor())

    def page(address: str, **typed: str) -> tuple[str, str]:
        data = urlencode(typed).encode() if typed else None
        with browser.open(address, data, timeout=PATIENCE_S) as answer:
            return answer.url, answer.read().decode()

    with served(f"sqlite:///{tmp_path / 'yard.sqlite'}") as (process, port, _told):
        own = f"http://127.0.0.1:{port}"
        url, text = page(f"{own}/demo/")
        assert url == f"{own}/invented-yard"
        token = re.search(r'name="csrf_token" value="([^"]+)"', text)
        assert token
        url, text = page(url, csrf_token=token[1])
        assert url == f"{own}/demo/"
        assert "This is an invented yard." in text
        (made,) = tmp_path.rglob("demo.sqlite")
        second = tried("demo", "--port", "0", "--database", f"sqlite:///{made}")
        assert second.returncode == 2
        assert "served already" in second.stderr
    assert process.returncode == 0
    with served(f"sqlite:///{made}", "demo") as (_process, _port, told):
        assert "Making" not in told
