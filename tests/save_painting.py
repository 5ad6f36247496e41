#!/usr/bin/env python3
"""Saves a painting in many ways beside the real window, and measures from the end of the write to its sight.

    tests/save_painting.py [PROGRAM]        target/release/staffage

Paint programs save by renaming, in place, slowly, by way of a backup; networks stop half-way. Whichever it is,
the painting must be on the screen within a second of the write's end, nothing but the painting before or the
new one may ever be seen, and the view must stay as it is. Looks at the screen's own pixels.
Needs Xvfb, xdotool and a release build; a JPEG as well if ImageMagick is there.
"""

import mmap, os, pathlib, random, shutil, struct, subprocess, sys, tempfile, time, zlib

AFFORDABLE = 1.0
SCREEN = (1280, 800)
SIZE = (1200, 510)
LARGE = (10_000, 4_255)


def png(size, left, right, grain=0):
    """Two halves of one colour each; with grain it compresses as a painting does, by half."""
    width, height = size
    half = width // 2
    plain = bytes(left) * half + bytes(right) * (width - half)
    rows = [b"\0" + plain]
    if grain:
        rows = []
        for _ in range(16):
            noise = random.randbytes(len(plain))
            rows.append(b"\0" + bytes(a + (b & 7) for a, b in zip(plain, noise)))
    squeeze = zlib.compressobj(1)
    data = b"".join([squeeze.compress(rows[y % len(rows)]) for y in range(height)]) + squeeze.flush()

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def tga(size, left, right):
    """Uncompressed: every save has the same length."""
    width, height = size
    half = width // 2
    head = struct.pack("<BBBHHBHHHHBB", 0, 0, 2, 0, 0, 0, 0, 0, width, height, 24, 0x20)
    return head + (bytes(left[::-1]) * half + bytes(right[::-1]) * (width - half)) * height


def jpeg(size, left, right):
    """Made by ImageMagick; None without it."""
    if not shutil.which("convert"):
        return None
    head = b"P6 %d %d 255\n" % size
    half = size[0] // 2
    pixels = (bytes(left) * half + bytes(right) * (size[0] - half)) * size[1]
    made = subprocess.run(["convert", "ppm:-", "-quality", "98", "jpg:-"], input=head + pixels, capture_output=True)
    return made.stdout if made.returncode == 0 else None


class Screen:
    """The pixels of a virtual display."""

    def __init__(self, folder):
        found = folder / "Xvfb_screen0"
        for _ in range(100):
            if found.exists() and found.stat().st_size > 100:
                break
            time.sleep(0.1)
        self.file = open(found, "rb")
        self.memory = mmap.mmap(self.file.fileno(), 0, prot=mmap.PROT_READ)
        head = struct.unpack(">20I", self.memory[:80])
        self.line, self.first = head[12], head[0] + 12 * head[19]

    def pixel(self, x, y):
        at = self.first + y * self.line + 4 * x
        blue, green, red = self.memory[at : at + 3]
        return red, green, blue

    def edge(self, y, left, right):
        """The column where the colour turns from the left half's to the right half's."""
        is_left = [near(self.pixel(x, y), left) for x in range(SCREEN[0])]
        return max((x for x in range(SCREEN[0]) if is_left[x]), default=None)


def near(a, b):
    return all(abs(x - y) <= 14 for x, y in zip(a, b))


# Ways to save: each yields when the screen may be looked at in between, and returns when the file is whole.
def at_once(path, data):
    path.write_bytes(data)
    yield from ()


def renamed_over(path, data):
    new = path.with_name(".new")
    new.write_bytes(data)
    os.replace(new, path)
    yield from ()


def renamed_with_the_old_date(path, data):
    date = path.stat().st_mtime_ns
    new = path.with_name(".new")
    new.write_bytes(data)
    os.utime(new, ns=(date, date))
    os.replace(new, path)
    yield from ()


def with_a_backup(path, data):
    os.replace(path, path.with_name(path.name + "~"))
    yield 0.05
    path.write_bytes(data)


def slowly(path, data):
    with open(path, "wb") as file:
        step = max(1, len(data) // 40)
        for at in range(0, len(data), step):
            file.write(data[at : at + step])
            file.flush()
            yield 0.04


def half_then_the_rest(path, data):
    with open(path, "wb") as file:
        file.write(data[: len(data) // 2])
        file.flush()
        yield 1.3
        file.write(data[len(data) // 2 :])


def nothing_then_all(path, data):
    with open(path, "wb") as file:
        yield 0.8
        file.write(data)


def over_the_old_bytes(path, data):
    with open(path, "r+b") as file:
        file.write(data[: len(data) // 3])
        file.flush()
        yield 0.08
        file.write(data[len(data) // 3 :])
        file.truncate()


def gone_and_back(path, data):
    path.unlink()
    yield 1.6
    path.write_bytes(data)


def thrice(path, data):
    for cut in (len(data) // 3, len(data) // 2, len(data)):
        path.write_bytes(data[:cut])
        yield 0.12
    path.write_bytes(data)


WAYS = [at_once, renamed_over, renamed_with_the_old_date, with_a_backup, slowly, half_then_the_rest, nothing_then_all,
        over_the_old_bytes, gone_and_back, thrice]


class Trial:
    def __init__(self, program, folder):
        self.folder, self.program = folder, program
        self.display = subprocess.Popen(
            ["Xvfb", os.environ["DISPLAY"], "-screen", "0", "%dx%dx24" % SCREEN, "-fbdir", str(folder)],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        self.screen = Screen(folder)
        self.slow, self.wrong, self.turn = [], [], 0

    def colours(self):
        """Two that were not there before, far from all others in use; the left half is the redder."""
        self.turn += 1
        return [((40 + 60 * (self.turn % 4), 40 + 90 * (self.turn % 3 == 1), 90), (30, 60 + 70 * (self.turn % 3), 160 + 40 * (self.turn % 2))),
                ((230 - 50 * (self.turn % 4), 200 - 80 * (self.turn % 3 == 2), 40), (20 + 80 * (self.turn % 2), 230, 60))][self.turn % 2]

    def open(self, path):
        log = open(self.folder / "log", "ab")
        window = subprocess.Popen([self.program, str(path)], stderr=log,
                                  env={**os.environ, "NO_COLOR": "1", "STAFFAGE_LOG": "staffage_desk=debug"})
        xdotool("search", "--sync", "--onlyvisible", "--class", "staffage")
        return window

    def wait(self, where, colour, before):
        """Seconds until the colour is seen there; anything else than it and the one before is noted."""
        start = time.monotonic()
        while time.monotonic() - start < 8:
            seen = self.screen.pixel(*where)
            if near(seen, colour):
                return time.monotonic() - start
            if before and not near(seen, before):
                self.wrong.append((where, seen))
            time.sleep(0.002)
        return None

    def run(self, name, ways, make):
        path = self.folder / name
        left, right = self.colours()
        data = make(left, right)
        if data is None:
            print(f"{name}: passed over, there is nothing to make it with")
            return
        path.write_bytes(data)
        window = self.open(path)
        # Away from notes, the hint and the middle of the canvas, left and right of the edge.
        where, other = (340, 300), (560, 300)
        if self.wait(where, left, None) is None:
            raise SystemExit(f"{name} was not shown at all: {self.screen.pixel(*where)}, not {left}")
        xdotool("mousemove", "500", "330", "click", "4", "sleep", "0.1", "click", "4", "sleep", "0.6")
        edge = None
        while edge != (now := self.screen.edge(300, left, right)):
            edge = now
            time.sleep(1)
        for way in ways:
            before = left, right
            left, right = self.colours()
            data = make(left, right)
            for pause in way(path, data):
                end = time.monotonic() + pause
                while time.monotonic() < end:
                    seen = self.screen.pixel(*where)
                    if not near(seen, before[0]) and not near(seen, left):
                        self.wrong.append((name, way.__name__, seen))
                    time.sleep(0.005)
            took = self.wait(where, left, before[0])
            there = took is not None and self.wait(other, right, before[1]) is not None
            time.sleep(0.3)
            moved = self.screen.edge(300, left, right)
            fate = "not shown" if not there else f"{1000 * took:5.0f} ms"
            fate += "" if moved == edge else f", but the view moved: {edge} to {moved}"
            print(f"{name:14} {way.__name__.replace('_', ' '):28} {fate}", flush=True)
            if not there or took > AFFORDABLE or moved != edge:
                self.slow.append((name, way.__name__, fate))
        window.terminate()
        window.wait()
        time.sleep(0.5)


def xdotool(*words):
    subprocess.run(["xdotool", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=60)


def main():
    os.chdir(pathlib.Path(__file__).parent.parent)
    program = os.path.abspath(sys.argv[1] if len(sys.argv) > 1 else "target/release/staffage")
    random.seed(1)
    folder = pathlib.Path(tempfile.mkdtemp())
    os.environ.update(DISPLAY=":" + os.environ.get("DISPLAY_NUMBER", "97"), XDG_DATA_HOME=str(folder / "data"),
                      XDG_CONFIG_HOME=str(folder / "config"), XDG_RUNTIME_DIR=str(folder))
    trial = Trial(program, folder)
    try:
        trial.run("quay.png", WAYS, lambda left, right: png(SIZE, left, right))
        trial.run("quay.tga", WAYS, lambda left, right: tga(SIZE, left, right))
        trial.run("quay.jpg", WAYS, lambda left, right: jpeg(SIZE, left, right))
        trial.run("large.png", [at_once, renamed_over], lambda left, right: png(LARGE, left, right, grain=7))
    finally:
        trial.display.terminate()
        trial.display.wait()
    for wrong in trial.wrong[:10]:
        print("neither the old nor the new painting was seen:", *wrong)
    print(f"{len(trial.slow)} too slow, {len(trial.wrong)} wrong sights")
    if trial.slow or trial.wrong:
        print(f"the log is kept: {folder / 'log'}")
        sys.exit(1)
    shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    main()
