"""Photos to be looked into: at once, or by one thread in the background. Knows the order only."""

import logging
import queue
import threading
from collections.abc import Callable

LOG = logging.getLogger(__name__)
Work = Callable[[str, str], object]


class PhotosAtOnce:
    """Looks into each photo as it comes; for the command line and tests."""

    def __init__(self) -> None:
        self.work: Work = lambda dealer, sha256: None

    def put(self, dealer: str, sha256: str) -> None:
        self.work(dealer, sha256)


class PhotosInBackground:
    """One thread, so that a phone need not wait and two cores are not both kept busy. What is not done when the
    server stops stays marked as held in the database, and is taken up at the next start."""

    def __init__(self) -> None:
        self.work: Work = lambda dealer, sha256: None
        self._waiting: queue.SimpleQueue[tuple[str, str]] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._guard = threading.Lock()

    def put(self, dealer: str, sha256: str) -> None:
        self._waiting.put((dealer, sha256))
        with self._guard:
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="photos", daemon=True)
                self._thread.start()

    def _run(self) -> None:
        while True:
            dealer, sha256 = self._waiting.get()
            try:
                self.work(dealer, sha256)
            except Exception:  # the thread must outlive any one photo; the photo stays held and is named here
                LOG.exception("photo %s of %s could not be looked into", sha256, dealer)
