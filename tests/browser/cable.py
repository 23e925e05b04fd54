"""A cable between browser and server, to be pulled and put back as a signal comes and goes."""

from __future__ import annotations

import contextlib
import socket
import threading
from typing import TYPE_CHECKING

from tests.browser.serving import free_port

if TYPE_CHECKING:
    from tests.browser.serving import Server

CHUNK = 65_536


class Cable:
    """Everything that goes to its own port goes on to the server, while it is plugged in."""

    def __init__(self, server: Server) -> None:
        self._server_port = server.port
        self.port = free_port()
        self._held: list[socket.socket] = []
        self._lock = threading.Lock()
        self._door: socket.socket | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def plug(self) -> None:
        """Take connections from now on."""
        door = socket.socket()
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        door.bind(("127.0.0.1", self.port))
        door.listen()
        self._door = door
        threading.Thread(target=self._take, args=(door,), daemon=True).start()

    def pull(self) -> None:
        """End every connection at once, and take no other."""
        with self._lock:
            held, self._held = [*self._held, *([self._door] if self._door else [])], []
            self._door = None
        for each in held:
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
            each.close()

    def _take(self, door: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while True:
                here, _ = door.accept()
                there = socket.create_connection(("127.0.0.1", self._server_port))
                with self._lock:
                    self._held += [here, there]
                for ends in ((here, there), (there, here)):
                    threading.Thread(target=_carry, args=ends, daemon=True).start()


def _carry(source: socket.socket, target: socket.socket) -> None:
    with contextlib.suppress(OSError):
        while chunk := source.recv(CHUNK):
            target.sendall(chunk)
    with contextlib.suppress(OSError):
        target.shutdown(socket.SHUT_RDWR)
