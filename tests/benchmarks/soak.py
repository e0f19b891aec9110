"""Thirty visitors at once on one server: no error, no mixing of their data, level memory, quick pages.

    python -m tests.benchmarks.soak [SECONDS] [VISITORS]

Each visitor speaks Streamlit's own protocol over a WebSocket, as a browser does without drawing: names the bath, changes its
volume, waits as a person would, and again. Whatever comes back is searched for other visitors' names. Exit 1 where
something does not hold. Not collected by pytest.
"""

import asyncio
import contextlib
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import ClientConnection, connect

PAGE = "check"
NAME_LABEL, VOLUME_LABEL = "Name of the bath", "Bath in the tank now (L)"
THINKING = (2.0, 5.0)  # s between two changes of a person
START_UP_SECONDS, ANSWER_SECONDS = 60, 60
MOST_GROWTH = 0.15  # of the server's memory in the second half
MOST_95TH = 1.0  # s


@contextlib.contextmanager
def server(folder: Path, *words: str) -> Iterator[str]:
    """Start the app with a data folder of its own on the loopback; yields its address."""
    with socket.socket() as probe:
        probe.bind(("localhost", 0))
        port = probe.getsockname()[1]
    code = "import sys; from advisor.launch import main; main(sys.argv[1:])"
    flags = [f"--server.port={port}", "--server.headless=true", "--server.fileWatcherType=none"]
    environment = os.environ | {"HOME": str(folder), "ADVISOR_DATA_FOLDER": str(folder / "data")}
    command = [sys.executable, "-c", code, *words, *flags]
    with (
        (folder / "log").open("wb") as log,
        subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=log) as process,
    ):
        try:
            address = f"http://localhost:{port}"
            _wait(f"{address}/_stcore/health")
            (folder / "pid").write_text(str(process.pid))
            yield address
        finally:
            process.terminate()


def _wait(url: str) -> None:
    deadline = time.monotonic() + START_UP_SECONDS
    while True:
        with contextlib.suppress(urllib.error.URLError, ConnectionError, TimeoutError):
            urllib.request.urlopen(url, timeout=5).close()
            return
        if time.monotonic() > deadline:
            raise TimeoutError(url)
        time.sleep(0.05)


@dataclass
class Visitor:
    """One person at the page, and what was seen."""

    number: int
    address: str
    seconds: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    own_name_seen: int = 0
    widgets: dict[str, str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        return f"Tank of visitor {self.number:03d}"

    async def stay(self, until: float) -> None:
        """Change something, read the answer, think; until the time is over."""
        rng = np.random.default_rng(self.number)
        address = self.address.replace("http", "ws") + "/_stcore/stream"
        connection = await connect(address, subprotocols=["streamlit"], origin=self.address, max_size=None)
        await self.ask(connection, {})
        while time.monotonic() < until:
            await asyncio.sleep(rng.uniform(*THINKING))
            litres = rng.uniform(5.2, 6.4)
            start = time.perf_counter()
            await self.ask(connection, {NAME_LABEL: self.name, VOLUME_LABEL: f"{litres:.2f}"})
            self.seconds.append(time.perf_counter() - start)
        await connection.close()

    async def ask(self, connection: ClientConnection, typed: dict[str, str]) -> None:
        """Send what was typed and read until the page is done."""
        message = BackMsg()
        message.rerun_script.page_name = PAGE
        for label, text in typed.items():
            if label in self.widgets:
                state = message.rerun_script.widget_states.widgets.add()
                state.id, state.string_value = self.widgets[label], text
        await connection.send(message.SerializeToString())
        while True:
            data = await asyncio.wait_for(connection.recv(), ANSWER_SECONDS)
            assert isinstance(data, bytes)
            answer = ForwardMsg()
            answer.ParseFromString(data)
            self.look_at(answer, data)
            if answer.WhichOneof("type") == "script_finished":
                return

    def look_at(self, answer: ForwardMsg, data: bytes) -> None:
        """Note fields, errors, and names that are not one's own."""
        element = answer.delta.new_element
        kind = element.WhichOneof("type")
        if kind == "text_input":
            self.widgets[element.text_input.label] = element.text_input.id
        if kind == "exception":
            self.errors.append(element.exception.message)
        # Drafts are offered to the computer that typed them, and here all visitors share one.
        for found in re.findall(rb"(?<!Go on: )Tank of visitor (\d{3})", data):
            if int(found) == self.number:
                self.own_name_seen += 1
            else:
                self.errors.append(f"visitor {self.number} was shown visitor {int(found)}'s bath")


def memory_MB(process: int) -> float:
    """Return what a process holds in memory [MB] (Linux)."""
    status = Path(f"/proc/{process}/status").read_text()
    return int(re.search(r"VmRSS:\s+(\d+)", status)[1]) / 1024


def busy_seconds(process: int) -> float:
    """Return the processor time that a process has taken [s] (Linux)."""
    user, system = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


async def soak(address: str, process: int, seconds: float, count: int) -> tuple[list[Visitor], list[float]]:
    visitors = [Visitor(number, address) for number in range(count)]
    until, memory = time.monotonic() + seconds, []

    async def watch() -> None:
        while time.monotonic() < until:
            memory.append(memory_MB(process))
            await asyncio.sleep(2)

    await asyncio.gather(watch(), *(visitor.stay(until) for visitor in visitors))
    return visitors, memory


def main(seconds: float = 60.0, count: int = 30) -> int:
    with tempfile.TemporaryDirectory() as folder, server(Path(folder), "--example", "dull") as address:
        process = int((Path(folder) / "pid").read_text())
        visitors, memory = asyncio.run(soak(address, process, seconds, int(count)))
        busy = busy_seconds(process)
        log = (Path(folder) / "log").read_text(errors="replace")
    times = np.array([taken for visitor in visitors for taken in visitor.seconds])
    errors = [error for visitor in visitors for error in visitor.errors]
    unnamed = sum(visitor.own_name_seen == 0 for visitor in visitors)
    growth = memory[-1] / memory[len(memory) // 2] - 1
    print(
        f"{len(visitors)} visitors, {len(times)} pages in {seconds:.0f} s; load of the machine {os.getloadavg()[0]:.1f}"
    )
    print(
        f"page: median {np.median(times):.2f} s, 95th percentile {np.percentile(times, 95):.2f} s, worst {times.max():.2f} s"
    )
    print(f"processor: {1e3 * busy / max(len(times), 1):.0f} ms of the server a page, its start included")
    print(f"memory: {memory[0]:.0f} MB at first, {max(memory):.0f} MB most, {100 * growth:+.0f} % in the second half")
    print(
        f"errors: {len(errors)} {errors[:3]}; visitors who never saw their own bath: {unnamed}; tracebacks {log.count('Traceback')}"
    )
    sound = not errors and not unnamed and "Traceback" not in log and growth < MOST_GROWTH
    return 0 if sound and np.percentile(times, 95) < MOST_95TH else 1


if __name__ == "__main__":
    sys.exit(main(*(float(word) for word in sys.argv[1:])))
