"""The page answers only to the names that it is served as."""

import socket
from collections.abc import Callable
from pathlib import Path

import pytest

ASK = (
    "GET /_stcore/stream HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nUpgrade: websocket\r\nConnection: "
    "Upgrade\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Version: 13\r\n\r\n"
)  # RFC 6455, section 1.3: its own example of an opening handshake


@pytest.mark.parametrize(
    ("host", "answer"),
    [("localhost", "101"), ("127.0.0.1", "101"), ("pond.example", "403"), ("localhost.example", "403")],
)
def test_a_session_is_opened_only_under_its_own_names(
    server: Callable[[Path | str], str], host: str, answer: str
) -> None:
    port = int(server("demo_data/platypus_creek.json").rpartition(":")[2])
    with socket.create_connection(("localhost", port), timeout=10) as line:
        line.sendall(ASK.format(host=f"{host}:{port}").encode())
        assert line.recv(200).decode().split()[1] == answer
