#!/usr/bin/python3
"""The story of README.md, as it stands there: every line of its console blocks that begins
with "$ " is run, in order, in one empty directory, and must print what stands below it.

    readme.py ROOT BIN              BIN: the directory of the program
    readme.py ROOT BIN --accept     write what it prints into the blocks; read the change
"""
import pathlib
import re
import subprocess
import sys
import tempfile

BLOCK = re.compile(r"^```console\n(.*?)^```$", re.M | re.S)


def commands_of(story):
    """The commands of a replay, in the form that replay.sh reads."""
    lines, inside = [], False
    for line in story.split("\n"):
        if line.startswith("$ "):
            lines.append(line[2:])
            inside = True
        elif inside and (line.startswith("> ") or line == ">"):
            lines.append(line)
        else:
            inside = False
    return lines


def told_anew(text, replay):
    """The text with each block as the replay has its commands."""
    lines = replay.split("\n")
    starts = [i for i, line in enumerate(lines) if line.startswith("$ ")] + [len(lines)]
    used = 0

    def block(match):
        nonlocal used
        n = sum(line.startswith("$ ") for line in match.group(1).split("\n"))
        part = lines[starts[used]:starts[used + n]]
        used += n
        return "```console\n" + "\n".join(part).rstrip("\n") + "\n```"

    return BLOCK.sub(block, text)


def main():
    root, program = pathlib.Path(sys.argv[1]), sys.argv[2]
    text = (root / "README.md").read_text(encoding="utf-8")
    story = "".join(BLOCK.findall(text))
    commands = commands_of(story)
    if not commands:
        sys.exit("readme: no command in any console block")
    runner = pathlib.Path(__file__).resolve().parents[1] / "cli/run-case.sh"
    with tempfile.TemporaryDirectory() as place:
        case = pathlib.Path(place) / "README.md"
        case.mkdir()
        (case / "cmd").write_text("\n".join(commands) + "\n", encoding="utf-8")
        (case / "expected").write_text(story, encoding="utf-8")
        call = ["sh", str(runner), "--plain", "--bin", program]
        if sys.argv[3:] == ["--accept"]:
            done = subprocess.run([*call, "--print", str(case)], check=True,
                                  stdout=subprocess.PIPE, encoding="utf-8")
            (root / "README.md").write_text(told_anew(text, done.stdout),
                                            encoding="utf-8")
            return
        done = subprocess.run([*call, str(case)], check=False)
    sys.exit(1 if done.returncode else 0)


if __name__ == "__main__":
    main()
