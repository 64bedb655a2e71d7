"""The command that opens the page: what it takes, what it refuses, how it ends."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from running import ROOT

from patterns import cli

BASE = [sys.executable, "-m", "patterns.cli", "page"]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}


def test_every_fault_is_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("[[[")
    arguments = ["page", str(tmp_path / "none"), "--port", "99999", "--listen", "shop.example",
                 "--rack", str(tmp_path / "no.csv"), "--smith", str(bad), "--printer", str(bad),
                 "--log", str(tmp_path / "no" / "log.csv"), "--units", "ell"]  # fmt: skip
    assert cli.main(arguments) == 2
    said = capsys.readouterr().err
    for name in ("FOLDER", "--port", "--listen", "rack", "--smith", "--log", "--units"):
        assert f"  {name}" in said, name
    assert "8 faults" in said
    assert list(tmp_path.iterdir()) == [bad]


def test_a_port_in_use_is_told_or_passed_over(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        done = subprocess.run(
            [*BASE, str(tmp_path), "--no-browser", "--port", port],
            capture_output=True, text=True, env=ENVIRONMENT, timeout=60,
        )  # fmt: skip
    assert done.returncode == 2
    assert "--port" in done.stderr
    assert "in use" in done.stderr
    assert "Traceback" not in done.stderr


def test_an_address_that_is_not_ours(tmp_path: Path) -> None:
    done = subprocess.run(
        [*BASE, str(tmp_path), "--no-browser", "--listen", "203.0.113.7"],  # RFC 5737: nobody's
        capture_output=True, text=True, env=ENVIRONMENT, timeout=60,
    )  # fmt: skip
    assert done.returncode == 2
    assert "--listen" in done.stderr


@pytest.mark.parametrize("by", [signal.SIGINT, signal.SIGTERM])
def test_it_answers_until_it_is_ended(tmp_path: Path, by: signal.Signals) -> None:
    with subprocess.Popen(
        [*BASE, str(tmp_path), "--no-browser", "--port", "0"], stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True, env={**ENVIRONMENT, "TMPDIR": str(tmp_path)},
    ) as process:  # fmt: skip
        assert process.stdout is not None
        address = process.stdout.readline().split()[-1]
        assert address.startswith("http://127.0.0.1:")
        with urllib.request.urlopen(address, timeout=30) as page:
            assert b"<!doctype html>" in page.read()
        process.send_signal(by)
        said = process.communicate(timeout=30)[1]
    assert "Traceback" not in said
    assert process.returncode in (0, -by)
    assert list(tmp_path.iterdir()) == [], "nothing is left behind"


def test_on_the_network_it_shows_a_key(tmp_path: Path) -> None:
    with subprocess.Popen(
        [*BASE, str(tmp_path), "--no-browser", "--port", "0", "--listen", "0.0.0.0"],
        stdout=subprocess.PIPE, text=True, env=ENVIRONMENT,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        address = process.stdout.readline().split()[-1]
        assert "?key=" in address
        process.terminate()
