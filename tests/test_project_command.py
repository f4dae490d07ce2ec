"""`oaktag project`: the file, what it refuses, and the page shown to this machine alone."""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from oaktag.device.page_server import PageServer, open_server
from oaktag.errors import DeviceError
from wardrobe import FIXTURES, oaktag

CHOIR = FIXTURES / "choir"


def figures_in(page: Path) -> dict:
    found = re.search(r'id="figures">(.*?)</script>', page.read_text(encoding="utf-8"))
    assert found is not None
    return json.loads(found[1])


@pytest.mark.smoke
def test_it_writes_one_page(tmp_path: Path) -> None:
    done = oaktag("project", CHOIR / "alto-3.toml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (page,) = tmp_path.iterdir()
    assert page.name == "alto-3-projection.html"
    assert "wrote alto-3-projection.html" in done.stdout
    assert {figure["name"] for figure in figures_in(page)["figures"]} >= {"front", "back", "sleeve"}


def test_what_it_writes_has_the_pieces_of_pattern_json(tmp_path: Path) -> None:
    """Every cut line is that of pattern.json, moved as a whole: side by side its lengths agree to 0.02 mm."""
    assert oaktag("project", CHOIR / "alto-3.toml", "-o", "page.html", cwd=tmp_path).returncode == 0
    assert oaktag("make", CHOIR / "alto-3.toml", "-o", "made", "--only", "json", cwd=tmp_path).returncode == 0
    pattern = json.loads((tmp_path / "made" / "pattern.json").read_text(encoding="utf-8"))
    drawn = {}
    for figure in figures_in(tmp_path / "page.html")["figures"]:
        (group,) = (group for group in figure["groups"] if group["role"] == "cut")
        ((closed, steps),) = group["lines"]
        assert closed == 1
        drawn[figure["name"]] = list(zip(steps[2::2], steps[3::2], strict=True))
    assert drawn.keys() == {piece["name"] for piece in pattern["pieces"]}
    for piece in pattern["pieces"]:
        ring = piece["cut_line"]
        steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(ring)]
        assert len(steps) == len(drawn[piece["name"]])
        for (x, y), (dx, dy) in zip(steps, drawn[piece["name"]], strict=True):
            assert (dx / 100, dy / 100) == pytest.approx((x, y), abs=0.011)


def test_sizes_json_and_folders(tmp_path: Path) -> None:
    done = oaktag(
        "project", CHOIR / "stage-dress.toml", "--size", "14", "--size", "8", "-o", tmp_path, "--json", cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert [Path(path).name for path in told["written"]] == ["stage-dress-projection.html"]
    assert figures_in(tmp_path / "stage-dress-projection.html")["sizes"] == ["8", "14"]
    done = oaktag("project", CHOIR / "stage-dress.toml", "--size", "99", cwd=tmp_path)
    assert done.returncode == 2
    assert "--size 99" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_failed_check_refuses_it(tmp_path: Path) -> None:
    """Contract: exit code 1, nothing is written unless `--despite` names the check."""
    text = (CHOIR / "alto-3.toml").read_text(encoding="utf-8")
    assert "\n[style]\n" in text
    job = tmp_path / "job.toml"
    tried = {"ease_biceps": 0, "opening_length": '"1 in"', "ease_hip": 0}
    for option, value in tried.items():
        job.write_text(re.sub(rf"(?m)^{option} .*\n", "", text).replace("[style]\n", f"[style]\n{option} = {value}\n"))
        done = oaktag("check", job, "--json", cwd=tmp_path)
        if done.returncode == 1:
            break
    else:
        pytest.fail("no job was found that fails a check")
    ids = {found["id"] for found in json.loads(done.stdout) if found["severity"] == "error" and not found["passed"]}
    refused = oaktag("project", job, cwd=tmp_path)
    assert refused.returncode == 1
    assert all(name in refused.stderr for name in ids)
    assert not list(tmp_path.glob("*.html"))
    asked = [word for name in ids for word in ("--despite", name)]
    assert oaktag("project", job, *asked, cwd=tmp_path).returncode == 0
    assert len(list(tmp_path.glob("*.html"))) == 1


def test_a_job_that_is_wrong_is_told_and_nothing_is_written(tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "bad" / "unknown-garment.toml", tmp_path / "bad.toml")
    done = oaktag("project", "bad.toml", "--serve", "--port", "0", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.startswith("bad.toml")
    assert [path.name for path in tmp_path.iterdir()] == ["bad.toml"]


# ---- shown to this machine


@pytest.fixture
def server() -> Iterator[PageServer]:
    found = open_server(b"<p>page</p>", 0)
    thread = threading.Thread(target=found.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    yield found
    found.shutdown()
    thread.join()
    found.server_close()


def answer(server: PageServer, method: str, path: str = "/", host: str | None = None) -> tuple[int, bytes, dict]:
    port = server.server_address[1]
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        line.request(method, path, headers={"Host": host if host is not None else f"127.0.0.1:{port}"})
        got = line.getresponse()
        return got.status, got.read(), dict(got.getheaders())
    finally:
        line.close()


def test_it_answers_with_the_page_and_nothing_else(server: PageServer) -> None:
    status, content, headers = answer(server, "GET")
    assert (status, content) == (200, b"<p>page</p>")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert answer(server, "HEAD")[:2] == (200, b"")
    assert answer(server, "GET", host=f"localhost:{server.server_address[1]}")[0] == 200
    for path in ("/etc/passwd", "/../../etc/passwd", "/?a", "/favicon.ico"):
        assert answer(server, "GET", path)[0] == 404
    for method in ("POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "BREW"):
        status, _, headers = answer(server, method)
        assert status == 405
        assert headers["Allow"] == "GET, HEAD"


@pytest.mark.parametrize("host", ["", "example.org", "127.0.0.1", "127.0.0.1:1", "127.0.0.1.example.org:80"])
def test_other_hosts_are_refused(server: PageServer, host: str) -> None:
    """A page elsewhere that has its own name point to this machine must not read the pattern (DNS rebinding)."""
    status, content, _ = answer(server, "GET", host=host)
    assert status == 403
    assert b"page</p>" not in content


def test_it_listens_on_this_machine_only(server: PageServer) -> None:
    assert server.socket.getsockname()[0] == "127.0.0.1"


def test_nonsense_is_told_and_not_answered(server: PageServer) -> None:
    with socket.create_connection(server.server_address[:2], timeout=10) as line:
        line.sendall(b"\x16\x03\x01 not http\r\n\r\n")
        said = b""
        while part := line.recv(4096):
            said += part
    assert b"page</p>" not in said


def test_a_port_that_is_taken_is_told(server: PageServer) -> None:
    port = server.server_address[1]
    with pytest.raises(DeviceError, match=f"port {port} is in use"):
        open_server(b"", port)


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is sent another way there")
def test_ctrl_c_ends_it_cleanly(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-u", "-m", "oaktag", "project", str(CHOIR / "alto-3.toml"), "--serve", "--port", "0",
         "--json"],
        cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=dict(os.environ),
    ) as run:  # fmt: skip
        assert run.stdout is not None
        told = json.loads(run.stdout.readline())
        port = int(re.search(r":(\d+)/$", told["address"])[1])  # type: ignore[index]
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        line.request("GET", "/")
        content = line.getresponse().read()
        line.close()
        assert content == (tmp_path / "alto-3-projection.html").read_bytes()
        run.send_signal(signal.SIGINT)
        rest, errors = run.communicate(timeout=20)
        assert (run.returncode, rest, errors) == (0, "", "")
