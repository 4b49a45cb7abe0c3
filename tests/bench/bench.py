#!/usr/bin/env python3
"""Compare stoptally with a plain JPEG decode of the same files, in one interleaved run.

    python3 make_camera_set.py SET24 && python3 bench.py SET24 --rounds 5
    python3 make_camera_set.py SET2000 --small 2000 && python3 bench.py SET2000 --small

Absolute times on a shared machine mean nothing; ratios within one run hold. So each round runs
`djpeg` (libjpeg-turbo, one process a file, two at a time) and the tool (two threads, everything
written), in alternating order, and the ratio is taken inside the round; the result is the median of
the rounds with their range. CPU is user + system of the whole process tree, from wait4; memory is the
largest resident set of any one process in it; a child starts with the launcher's own (the `floor` row),
so a smaller peak cannot be seen. Every round writes into a new folder, so that nothing is reused from the
round before; --second runs the tool once more over what it has just written. `--against-itself` puts
djpeg in the tool's place: how far that ratio is from 1.00 is the noise of the machine.

--small runs the tool on the first 100 and on all (2,000) small shots: linear growth means a time per
shot that does not rise and a few kB of memory each.

The result goes to stdout and, dated, to the folder runs/: one Markdown page and one CSV with every round.
Only the standard library is needed; Linux and macOS.
"""

import argparse
import csv
import datetime
import os
import platform
import shlex
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from statistics import median

PICTURES = (".jpg", ".jpeg")


@dataclass(frozen=True)
class Cost:
    """What one command took: seconds of CPU and of the clock, megabytes (10^6) at its peak, exit status."""

    cpu: float
    wall: float
    peak_mb: float
    status: int


def run(command: list[str], log: Path) -> Cost:
    """Run one command to its end; its descendants count as long as it waits for them."""
    with log.open("ab") as out:
        started = time.perf_counter()
        child = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=out, stderr=out)
        _, status, used = os.wait4(child.pid, 0)
        wall = time.perf_counter() - started
    child.returncode = os.waitstatus_to_exitcode(status)
    unit = 1 if sys.platform == "darwin" else 1024  # ru_maxrss is bytes there, kilobytes on Linux
    return Cost(used.ru_utime + used.ru_stime, wall, used.ru_maxrss * unit / 1e6, child.returncode)


def pictures(folder: Path) -> list[Path]:
    found = sorted(p for p in folder.iterdir() if p.suffix.lower() in PICTURES)
    if not found:
        sys.exit(f"no JPEGs in {folder}")
    return found


def warm(files: list[Path]) -> None:
    """Read every file once, in small pieces, so that no round pays for the disk."""
    for path in files:
        with path.open("rb", buffering=0) as stream:
            while stream.read(65536):
                pass


def decode_command(files: list[Path], work: Path) -> list[str]:
    """djpeg over all files, two at a time; the list goes through a file, so names may hold anything."""
    listing = work / "files.txt"
    listing.write_bytes(b"\0".join(os.fsencode(p) for p in files))
    return ["xargs", "-0", "-a", str(listing), "-P2", "-n1", "djpeg", "-outfile", "/dev/null"]


def floor_mb() -> float:
    """Peak memory that even an empty program shows."""
    with tempfile.TemporaryDirectory() as name:
        return run(["true"], Path(name) / "log").peak_mb


def tool_command(tool: str, folder: Path, out: Path, threads: int) -> list[str]:
    return [tool, "--threads", str(threads), "--out", str(out), "--quiet", str(folder)]


def checked(cost: Cost, what: str, log: Path) -> Cost:
    """Exit status 0 is clean, 1 finished with findings; anything else is no measurement."""
    if cost.status not in (0, 1):
        sys.exit(f"{what} ended with status {cost.status}; its output:\n{log.read_text(errors='replace')[-2000:]}")
    return cost


# ---- the machine and the versions, without names or paths ----------------------------------------

def first_line(command: list[str]) -> str:
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=20)
    except (OSError, subprocess.TimeoutExpired):
        return "unknown"
    lines = (done.stdout + done.stderr).strip().splitlines()
    return lines[0] if lines else "unknown"


def cpu_model() -> str:
    try:
        for line in Path("/proc/cpuinfo").read_text().splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    except OSError:
        pass
    return platform.processor() or platform.machine()


def machine() -> list[tuple[str, str]]:
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    return [
        ("processor", cpu_model()), ("cores available", str(cores)), ("system", f"{platform.system()} {platform.machine()}"),
        ("djpeg", first_line(["djpeg", "-version"])), ("Python", platform.python_version()),
    ]


# ---- the two benchmarks --------------------------------------------------------------------------

def large(folder: Path, tool: str | None, rounds: int, threads: int, second: bool):
    """Rows of (round, what, CPU s, wall s, peak MB) and a table of results; tool None means djpeg again."""
    files = pictures(folder)
    warm(files)
    rows, cpu, wall, peaks, decode_peaks, again = [], [], [], [], [], []
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        decode = decode_command(files, work)
        for number in range(rounds):
            out = work / f"report-{number}"
            pair = {}
            for what in ("djpeg", "stoptally") if number % 2 == 0 else ("stoptally", "djpeg"):
                log = work / f"{what}-{number}.log"
                command = decode if what == "djpeg" or tool is None else tool_command(tool, folder, out, threads)
                pair[what] = checked(run(command, log), what, log)
            if second:
                log = work / f"second-{number}.log"
                pair["second run"] = checked(run(tool_command(tool, folder, out, threads), log), "second run", log)
                again.append(pair["second run"].cpu / pair["djpeg"].cpu)
            shutil.rmtree(out, ignore_errors=True)
            for what, cost in pair.items():
                rows.append([number + 1, what, cost.cpu, cost.wall, cost.peak_mb])
            cpu.append(pair["stoptally"].cpu / pair["djpeg"].cpu)
            wall.append(pair["stoptally"].wall / pair["djpeg"].wall)
            peaks.append(pair["stoptally"].peak_mb)
            decode_peaks.append(pair["djpeg"].peak_mb)
            print(f"round {number + 1}: CPU ratio {cpu[-1]:.3f}, wall ratio {wall[-1]:.3f}, peak {peaks[-1]:.0f} MB", file=sys.stderr)
    size = sum(p.stat().st_size for p in files) / 1e6
    table = [
        ("files", f"{len(files)} JPEGs, {size:.0f} MB"), ("rounds", str(rounds)),
        ("CPU ratio, median (range)", f"{median(cpu):.2f} ({min(cpu):.2f} to {max(cpu):.2f})"),
        ("wall ratio, median (range)", f"{median(wall):.2f} ({min(wall):.2f} to {max(wall):.2f})"),
        ("peak memory of the tool, MB", f"{max(peaks):.0f}"), ("peak memory of one djpeg, MB", f"{max(decode_peaks):.0f}"),
    ]
    if second:
        table.append(("second run over the same output, CPU ratio", f"{median(again):.4f}"))
    return rows, table


def small(folder: Path, tool: str, rounds: int, threads: int, few: int):
    """Growth from `few` to all small shots. The few are hard links (or copies) in a folder of their own."""
    files = pictures(folder)
    if len(files) <= few:
        sys.exit(f"{folder} holds {len(files)} files; more than {few} are needed")
    warm(files)
    rows, costs = [], {few: [], len(files): []}
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        part = work / "few"
        part.mkdir()
        for path in files[:few]:
            try:
                os.link(path, part / path.name)
            except OSError:
                shutil.copy2(path, part / path.name)
        for number in range(rounds):
            for count, source in ((few, part), (len(files), folder)):
                out, log = work / f"report-{count}-{number}", work / f"{count}-{number}.log"
                cost = checked(run(tool_command(tool, source, out, threads), log), f"{count} shots", log)
                shutil.rmtree(out, ignore_errors=True)
                costs[count].append(cost)
                rows.append([number + 1, f"{count} shots", cost.cpu, cost.wall, cost.peak_mb])
                print(f"round {number + 1}: {count} shots, {cost.cpu:.2f} s CPU, {cost.wall:.2f} s, {cost.peak_mb:.0f} MB", file=sys.stderr)
    less, more = few, len(files)
    cpu = {n: median(c.cpu for c in costs[n]) for n in costs}
    wall = {n: median(c.wall for c in costs[n]) for n in costs}
    peak = {n: max(c.peak_mb for c in costs[n]) for n in costs}
    table = [("shots", f"{less} and {more} ({more / less:.0f} times)"), ("rounds", str(rounds))]
    for what, of in (("CPU", cpu), ("wall", wall)):
        growth = (of[more] - of[less]) / (more - less) * 1e3
        table.append((f"{what} growth (linear would be {more / less:.1f})", f"{of[more] / of[less]:.1f} times" if of[less] > 0 else "not measurable"))
        table.append((f"{what} of each further shot, ms", f"{growth:.3f}"))
    table.append((f"peak memory at {less} and {more} shots, MB", f"{peak[less]:.1f} and {peak[more]:.1f}"))
    table.append(("memory of each further shot, kB", f"{(peak[more] - peak[less]) / (more - less) * 1e3:.2f}"))
    return rows, table


def shown(arguments: list[str]) -> str:
    """The command as typed, every path shortened to its last part."""
    return shlex.join(["bench.py", *(Path(a).name if "/" in a else a for a in arguments)])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path, help="the set made by make_camera_set.py")
    parser.add_argument("--tool", default="target/release/stoptally")
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--second", action="store_true", help="also run the tool again over its own output, each round")
    parser.add_argument("--small", action="store_true", help="growth from few to many small shots")
    parser.add_argument("--against-itself", action="store_true", help="djpeg in the place of the tool: the noise")
    parser.add_argument("--few", type=int, default=100)
    parser.add_argument("--results", type=Path, default=Path(__file__).resolve().parent / "runs", help="folder for the dated result")
    given = parser.parse_args()
    tool = None if given.against_itself else shutil.which(given.tool) or sys.exit(f"no tool at {given.tool}: cargo build --release")
    if not given.small and not shutil.which("djpeg"):
        sys.exit("djpeg is missing: Debian package libjpeg-turbo-progs")
    if tool is None and (given.small or given.second):
        sys.exit("--against-itself goes with the large set alone")
    if given.rounds < 1:
        sys.exit("--rounds must be at least 1")
    if given.small:
        kind, (rows, table) = "small", small(given.folder, tool, given.rounds, given.threads, given.few)
    else:
        kind, (rows, table) = "large", large(given.folder, tool, given.rounds, given.threads, given.second)
    now = datetime.datetime.now(datetime.timezone.utc)
    facts = [("command", f"`{shown(sys.argv[1:])}`"), ("tool", first_line([tool, "--version"]) if tool else "djpeg against itself"), *machine(), ("floor of the peak memory, MB (peaks at it are smaller, unseen)", f"{floor_mb():.0f}"), *table]
    page = f"# Benchmark, {kind} set, {now:%Y-%m-%d %H:%M} UTC\n\n| what | value |\n|---|---|\n"
    page += "".join(f"| {what} | {value} |\n" for what, value in facts)
    given.results.mkdir(parents=True, exist_ok=True)
    stem = f"{now:%Y-%m-%dT%H%M%SZ}-{kind}"
    (given.results / f"{stem}.md").write_text(page, encoding="utf-8")
    with (given.results / f"{stem}.csv").open("w", encoding="utf-8", newline="") as lines:
        out = csv.writer(lines, lineterminator="\n")
        out.writerow(["round", "what", "cpu_s", "wall_s", "peak_mb"])
        out.writerows([n, what, f"{cpu:.3f}", f"{wall:.3f}", f"{peak:.1f}"] for n, what, cpu, wall, peak in rows)
    print(page)


if __name__ == "__main__":
    main()
