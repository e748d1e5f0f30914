#!/usr/bin/env python3
"""Plants small faults in the code, one at a time, and says which the tests catch.

    python3 benches/faults/plant.py [--only ID,ID] [--room ROOM] [--jobs 2] [--report FILE]

Each `[[fault]]` of the `*.toml` files beside this script names a `file`, the code that stands there (`was`,
once in that file), what the fault makes of it (`now`), and in `why` what would go wrong for whom. Both must be
expressions of one type (or blocks: `kind = "statement"`). A copy of the repository gets all faults at once,
each behind a switch that one environment variable throws, so that everything is built only once. A fault in a
table (`kind = "table"`) changes a cell of a CSV file and is built by itself.

`tests` lists the test programs that concern the fault, the likeliest first (`lib` = the unit tests); they run
until one fails. `--all` runs every program for the faults that were not caught by those.

A fault that changes nothing anyone can see (an equivalent program) has no place here.
"""

import argparse
import concurrent.futures
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
SWITCH = "SPANWRIGHT_PLANTED"
LIMIT = 240  # seconds that one test program may run

HELPER = f"""

/// The fault that is planted in this run; none without the variable.
pub fn planted(number: u32) -> bool {{
    static PLANTED: std::sync::LazyLock<u32> = std::sync::LazyLock::new(|| {{
        std::env::var("{SWITCH}").ok().and_then(|text| text.parse().ok()).unwrap_or(0)
    }});
    *PLANTED == number
}}
"""


def faults():
    found = []
    for path in sorted(HERE.glob("*.toml")):
        for fault in tomllib.loads(path.read_text())["fault"]:
            fault["list"] = path.name
            found.append(fault)
    for number, fault in enumerate(found, 1):
        fault["number"] = number
        fault.setdefault("kind", "expression")
        fault["room"] = room(fault["file"])
    return found


def room(file):
    parts = pathlib.PurePath(file).parts
    return parts[1] if parts[0] == "src" else parts[0]


def check(found, tree):
    """Names faults whose place is gone or not unique."""
    bad = []
    for fault in found:
        count = (tree / fault["file"]).read_text().count(fault["was"])
        if count != 1:
            bad.append(f"{fault['list']} {fault['file']}: {count} places hold {fault['was']!r}")
    if bad:
        sys.exit("these faults have no place of their own:\n  " + "\n  ".join(bad))


def switched(fault):
    number, was, now = fault["number"], fault["was"], fault["now"]
    if fault["kind"] == "statement":
        return f"if crate::planted({number}) {{ {now} }} else {{ {was} }}"
    return f"(if crate::planted({number}) {{ {now} }} else {{ {was} }})"


def copy_tree(target):
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout
    for name in listed.decode().split("\0"):
        if name and (ROOT / name).is_file():
            (target / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, target / name)


def build(tree, target):
    """The test programs by name."""
    done = subprocess.run(
        ["cargo", "test", "--locked", "--no-run", "--message-format=json"],
        cwd=tree, capture_output=True, text=True,
        env={**os.environ, "CARGO_TARGET_DIR": str(target)},
    )
    if done.returncode:
        rendered = []
        for line in done.stdout.splitlines():
            message = json.loads(line).get("message") if line.startswith("{") else None
            if isinstance(message, dict) and message.get("level") == "error":
                rendered.append(message.get("rendered", ""))
        sys.exit("the copy does not build:\n" + ("\n".join(rendered) or done.stderr)[:8000])
    programs = {}
    for line in done.stdout.splitlines():
        message = json.loads(line) if line.startswith("{") else {}
        if message.get("executable") and message.get("profile", {}).get("test"):
            kind = message["target"]["kind"][0]
            name = "lib" if kind == "lib" else message["target"]["name"]
            if kind in ("lib", "test"):
                programs[name] = message["executable"]
    return programs


def fails(tree, program, number):
    """Whether a test program notices; a program that hangs does."""
    environment = {**os.environ, SWITCH: str(number), "INSTA_UPDATE": "no", "SPANWRIGHT_BROWSER": "none",
                   "CARGO_MANIFEST_DIR": str(tree), "NO_COLOR": "1", "RUST_BACKTRACE": "0"}
    try:
        done = subprocess.run([program], cwd=tree, env=environment, capture_output=True, timeout=LIMIT)
    except subprocess.TimeoutExpired:
        return "no end"
    if done.returncode == 0:
        return None
    named = re.search(rb"^    (\S+)$", done.stdout.split(b"\nfailures:\n")[-1], re.M)
    return named.group(1).decode() if named else f"exit {done.returncode}"


def judge(tree, programs, fault, thorough):
    concerned = [name for name in fault.get("tests", []) if name in programs]
    others = [name for name in programs if name not in concerned] if thorough else []
    for name in concerned + others:
        test = fails(tree, programs[name], fault["number"] if fault["kind"] != "table" else 0)
        if test:
            return {"caught": True, "program": name, "test": test, "concerned": name in concerned}
    return {"caught": False}


def main():
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--only", default="", help="numbers of faults, separated by commas")
    words.add_argument("--room", default="", help="only faults of this room")
    words.add_argument("--jobs", type=int, default=2)
    words.add_argument("--all", action="store_true", help="every test program for what the concerned ones miss")
    words.add_argument("--report", help="JSON file for the results")
    words.add_argument("--work", help="folder that is kept, to build faster the next time")
    args = words.parse_args()
    found = faults()
    check(found, ROOT)
    wanted = {int(number) for number in args.only.split(",") if number}
    found = [f for f in found if (not wanted or f["number"] in wanted) and args.room in ("", f["room"])]
    work = pathlib.Path(args.work or tempfile.mkdtemp(prefix="planted-"))
    tree, target = work / "tree", work / "target"
    shutil.rmtree(tree, ignore_errors=True)
    copy_tree(tree)
    with (tree / "src/lib.rs").open("a") as lib:
        lib.write(HELPER)
    for fault in found:
        if fault["kind"] != "table":
            path = tree / fault["file"]
            path.write_text(path.read_text().replace(fault["was"], switched(fault)))
    programs = build(tree, target)
    sound = [name for name in programs if fails(tree, programs[name], 0)]
    # What notices the switches themselves (a guard of the sources) says nothing of a fault.
    for name in sound:
        print(f"left out: {name} fails without a fault")
        programs.pop(name)
    results = []
    started = time.monotonic()

    def done(fault, result):
        results.append({**fault, **result})
        what = f"caught by {result['program']}: {result['test']}" if result["caught"] else "MISSED"
        print(f"{len(results):4} of {len(found)}  #{fault['number']} {fault['file']}: {what}", flush=True)

    with concurrent.futures.ThreadPoolExecutor(args.jobs) as pool:
        switches = [fault for fault in found if fault["kind"] != "table"]
        futures = {pool.submit(judge, tree, programs, fault, args.all): fault for fault in switches}
        for future in concurrent.futures.as_completed(futures):
            done(futures[future], future.result())
    for fault in (fault for fault in found if fault["kind"] == "table"):
        path = tree / fault["file"]
        sound_text = path.read_text()
        path.write_text(sound_text.replace(fault["was"], fault["now"]))
        done(fault, judge(tree, {n: p for n, p in build(tree, target).items() if n not in sound}, fault, args.all))
        path.write_text(sound_text)
    caught = [result for result in results if result["caught"]]
    print(f"\n{len(caught)} of {len(results)} faults caught in {time.monotonic() - started:.0f} s")
    rooms = sorted({result["room"] for result in results})
    for name in rooms:
        of_room = [result for result in results if result["room"] == name]
        print(f"  {name:18} {sum(r['caught'] for r in of_room):3} of {len(of_room)}")
    for result in results:
        if not result["caught"]:
            print(f"missed: #{result['number']} {result['file']}: {result['why']}")
    if args.report:
        pathlib.Path(args.report).write_text(json.dumps(results, indent=1))
    return 0 if len(caught) >= 0.95 * len(results) else 1


sys.exit(main())
