"""The pages under load, against a server of its own.

    bench_pages.py PROGRAM

Fifty tablets dragging at once, as the page does it: the next question when the last was answered, at most one in 40 ms.
A cold page: what is transferred with its styles and scripts. A thousand open streams of events: memory of the program.
"""

import asyncio
import gzip
import json
import os
import random
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

TABLETS, SECONDS, PACE, STREAMS = 50, 10, 0.04, 1000


async def read_answer(reader):
    """Status and body of one answer on a connection that stays open."""
    head = (await reader.readuntil(b"\r\n\r\n")).decode("latin1")
    status = int(head.split()[1])
    length = re.search(r"content-length: (\d+)", head, re.I)
    if length:
        return status, head, await reader.readexactly(int(length.group(1)))
    body = b""
    while True:
        size = int((await reader.readline()).strip(), 16)
        chunk = await reader.readexactly(size + 2)
        if size == 0:
            return status, head, body
        body += chunk[:-2]


async def ask(connection, method, path, body=b"", **headers):
    reader, writer = connection
    lines = "".join(f"{name.replace('_', '-')}: {value}\r\n" for name, value in headers.items())
    writer.write(f"{method} {path} HTTP/1.1\r\nHost: localhost\r\n{lines}Content-Length: {len(body)}\r\n\r\n".encode() + body)
    await writer.drain()
    return await read_answer(reader)


async def drag(port, seed, took):
    """One tablet: a vehicle moved about its mark, a pad now and then."""
    chance = random.Random(seed)
    lift, vehicle, pads = chance.choice([
        ("north-bay", "hatchback", [(0.47, 0.7), (0.47, -0.7), (1.98, 0.7), (1.98, -0.7)]),
        ("mill-bay", "long-van", [(0.9, 0.75), (0.9, -0.75), (3.1, 0.75), (3.1, -0.75)]),
        ("long-bay", "pickup", [(0.7, 0.45), (0.7, -0.45), (2.9, 0.45), (2.9, -0.45)]),
    ])
    connection = await asyncio.open_connection("127.0.0.1", port)
    spot, until = 1.1, time.perf_counter() + SECONDS
    await asyncio.sleep(chance.random() * PACE)
    while time.perf_counter() < until:
        spot += chance.uniform(-0.01, 0.01)
        setup = {
            "spot_m": spot, "offset_m": chance.uniform(-0.02, 0.02), "yaw_rad": 0.0, "backwards": False,
            "pads": [{"aft_m": a, "left_m": l} for a, l in pads],
        }
        body = json.dumps({"lift": lift, "vehicle": vehicle, "setup": setup}).encode()
        began = time.perf_counter()
        status, _, answer = await ask(connection, "POST", "/api/setup", body, Content_Type="application/json")
        spent = time.perf_counter() - began
        assert status == 200, answer
        took.append(spent)
        await asyncio.sleep(max(0.0, PACE - spent))


async def cold(port):
    """Bytes of a plan page with all that it needs, packed as it is sent, and the time to fetch them."""
    connection = await asyncio.open_connection("127.0.0.1", port)
    began, total = time.perf_counter(), 0
    _, head, page = await ask(connection, "GET", "/plan", Accept_Encoding="gzip")
    total += len(page)
    html = gzip.decompress(page) if "gzip" in head.lower() else page
    for path in sorted(set(re.findall(rb'(?:src|href)="(/assets/[^"]+)"', html))):
        _, _, body = await ask(connection, "GET", path.decode(), Accept_Encoding="gzip")
        total += len(body)
    return total, time.perf_counter() - began


def computed(process):
    """Processor time that the program has taken so far, in seconds: user and system."""
    fields = Path(f"/proc/{process.pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


async def streams(port, process):
    """Memory of the program, before and with a thousand streams open."""
    resident = lambda: int(re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{process.pid}/status").read_text()).group(1)) / 1024
    before, held = resident(), []
    for _ in range(STREAMS):
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(b"GET /changes HTTP/1.1\r\nHost: localhost\r\n\r\n")
        held.append((reader, writer))
    for reader, _ in held:
        await reader.readuntil(b"event: changed")
    return before, resident()


async def main(program):
    folder = tempfile.mkdtemp()
    process = subprocess.Popen(
        [Path(program).resolve(), "serve", "--quiet", "--listen", "127.0.0.1:0"], cwd=folder, stdout=subprocess.PIPE, text=True)
    try:
        port = int(process.stdout.readline().strip().rsplit(":", 1)[1])
        size, seconds = await cold(port)
        print(f"cold plan page: {size / 1000:.1f} kB transferred, {seconds * 1000:.0f} ms")
        took, ours, theirs = [], computed(process), time.process_time()
        await asyncio.gather(*(drag(port, seed, took) for seed in range(TABLETS)))
        ours, theirs = computed(process) - ours, time.process_time() - theirs
        took.sort()
        at = lambda share: took[int(share * (len(took) - 1))] * 1000
        print(f"{TABLETS} tablets dragging: {len(took) / SECONDS:.0f} answers a second, median {at(0.5):.1f} ms, "
              f"95 % under {at(0.95):.1f} ms, longest {at(1.0):.1f} ms; processor time of an answer "
              f"{ours / len(took) * 1000:.2f} ms, of its asking by this script {theirs / len(took) * 1000:.2f} ms")
        before, after = await streams(port, process)
        print(f"{STREAMS} open streams of events: {after:.0f} MB resident, {before:.0f} MB before")
    finally:
        process.terminate()
        process.wait()


asyncio.run(main(sys.argv[1]))
