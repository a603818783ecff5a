"""A server of the page, or of another Streamlit script, for tests and benchmark."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

ROOT = Path(__file__).parents[2]
START = 60  # s, for a server to answer
STOP = 10  # s, for a server to end by itself


def start(script: str, arguments: list[str], log: Path, port: int = 0) -> tuple[subprocess.Popen[bytes], str]:
    """A server on that port, or on a free one, and its address.

    Raises: TimeoutError with its log where it does not answer in time.
    """
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind(("localhost", port))
        port = probe.getsockname()[1]
    options = ["--server.port", str(port), "--server.headless", "true"]
    command = [sys.executable, "-m", "streamlit", "run", script, *options, "--", *arguments]
    with log.open("wb") as out:
        process = subprocess.Popen(command, cwd=ROOT, stdout=out, stderr=out, stdin=subprocess.DEVNULL, process_group=0)
    url = f"http://localhost:{port}"
    end = time.monotonic() + START
    while time.monotonic() < end and process.poll() is None:
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=5):
                return process, url
        except (urllib.error.URLError, TimeoutError):
            time.sleep(0.1)
    stop(process)
    raise TimeoutError(f"{script} did not start:\n{log.read_text(encoding='utf-8')}")


def stop(*processes: subprocess.Popen[bytes]) -> None:
    """Ends servers, side by side, and all that they started."""
    running = [process for process in processes if process.poll() is None]
    for process in running:
        os.killpg(process.pid, signal.SIGTERM)
    for process in running:
        try:
            process.wait(STOP)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
