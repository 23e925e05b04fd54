"""Work that takes long done beside the page, one at a time, so that the page can answer."""

from __future__ import annotations

from collections import OrderedDict
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as StillAtWork
from threading import Lock
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable

KEPT = 8


class Errands:
    """Errands by name: each is done once, and its result kept while it is among the last few."""

    def __init__(self) -> None:
        self._doing = ThreadPoolExecutor(1, thread_name_prefix="errand")
        self._sent: OrderedDict[Hashable, Future[Any]] = OrderedDict()
        self._lock = Lock()

    def send(self, name: Hashable, work: Callable[[], Any]) -> Future[Any]:
        """Send on an errand, or return the one that is under way or done under this name.

        Parameters
        ----------
        name
            What the result hangs on.
        work
            What is to be done.
        """
        with self._lock:
            sent = self._sent.get(name)
            if sent is None:
                sent = self._sent[name] = self._doing.submit(work)
            self._sent.move_to_end(name)
            for old in [key for key, each in self._sent.items() if each.done()][:-KEPT]:
                del self._sent[old]
        return sent

    def sent(self, name: Hashable) -> Future[Any] | None:
        """Return the errand of this name, or ``None``."""
        return self._sent.get(name)

    def forget(self, name: Hashable) -> None:
        """Forget the result of an errand, so that it is done anew."""
        with self._lock:
            self._sent.pop(name, None)


def wait(errand: Future[Any], seconds: float) -> bool:
    """Wait a moment for an errand; return whether it is done, well or not."""
    try:
        errand.exception(timeout=seconds)
    except StillAtWork:
        return False
    return True
