#!/usr/bin/python3
"""Hold libpodbook(3) to the public headers: write it from them, or say where it drifted.

    libpodbook.py check ROOT [SHARED-LIBRARY]   the page is what the headers give, and the
                                                library offers what the page names
    libpodbook.py write ROOT                    write man/libpodbook.3 anew

The words before the first function are those of man/libpodbook.3 itself, up to the line
MARK; all that follows is made here.  A contract is printed as it stands in the header.
"""
import difflib
import pathlib
import re
import subprocess
import sys

PAGE = "man/libpodbook.3"
MARK = '.\\" From here on the page is made from the public headers.'
FUNCTION = re.compile(r"^(?P<type>.*?[\s*])(?P<name>pb_\w+)\((?P<args>.*)\)$", re.S)
VARIABLE = re.compile(r"^extern (?P<type>.*?)(?P<name>pb_\w+)(?:\[\w*\])?$", re.S)
ATTRIBUTE = re.compile(r"\s*PB_PRINTF\([^)]*\)")
CONSTANT = re.compile(r"#define PB_\w+ +[^\s\\]")
COMMENT = re.compile(r"/\*.*?\*/", re.S)


def public_headers(root):
    text = (root / "lib/podbook.h").read_text(encoding="utf-8")
    return re.findall(r'^#include "([^"]+)"', text, re.M)


def comment_lines(comment):
    """The lines of a block comment without its stars."""
    lines = comment[2:-2].split("\n")
    # "ORDER X" is for those who change the source
    lines = [re.sub(r" *ORDER [A-Z_]+\b.*$", "", re.sub(r"^ \* ?", "", line)).rstrip()
             for line in lines]
    while lines and not lines[0].strip():
        lines.pop(0)
    while lines and not lines[-1].strip():
        lines.pop()
    return [lines[0].strip()] + lines[1:] if lines else []


def end_of_declaration(text, at):
    """Where the declaration that begins at "at" ends: behind its ";" or body."""
    depth, i = 0, at
    while i < len(text):
        if text.startswith("/*", i):
            i = text.index("*/", i) + 2
            continue
        c = text[i]
        if c == "{":
            depth += 1
        elif c == "}":
            depth -= 1
            body = text[at:i].split("{", 1)[0]
            if depth == 0 and body.rstrip().endswith(")"):
                return i + 1
        elif c == ";" and depth == 0:
            return i + 1
        i += 1
    raise SystemExit("libpodbook: a declaration does not end: " + text[at:at + 60])


def skip_preprocessor(text, at):
    """Behind the preprocessor line at "at", and those that carry it on."""
    end = text.index("\n", at)
    while text[end - 1] == "\\":
        end = text.index("\n", end + 1)
    return end + 1


def parse(text):
    """(file comment, [(comment lines, [declarations])]): what stands without an empty
    line between shares its comment."""
    head, groups, fresh, i = None, [], True, 0
    while i < len(text):
        if text[i] == "\n":
            fresh = fresh or text.startswith("\n\n", i)
            i += 1
        elif text[i].isspace():
            i += 1
        elif text[i] == "#":
            end = skip_preprocessor(text, i)
            if CONSTANT.match(text[i:end]):
                if fresh or not groups:
                    groups.append(([], []))
                groups[-1][1].append(text[i:end].rstrip())
            i, fresh = end, text.startswith("\n", end)
        elif text.startswith("/*", i):
            end = text.index("*/", i) + 2
            if head is None:
                head = comment_lines(text[i:end])
            else:
                groups.append((comment_lines(text[i:end]), []))
                fresh = False
            i = end
        else:
            end = end_of_declaration(text, i)
            line_end = text.index("\n", end)
            behind = text[end:line_end].strip()
            declaration = text[i:end]
            if behind.startswith("/*"):
                line_end = text.index("*/", end) + 2
                declaration += " " + text[end:line_end].strip()
            if fresh or not groups:
                groups.append(([], []))
            groups[-1][1].append(declaration)
            fresh = False
            i = line_end
    return head or [], [(c, d) for c, d in groups if d]


def escape(line):
    line = line.replace("\\", "\\e")
    return "\\&" + line if line[:1] in (".", "'") else line


def prose(lines):
    """Filled text: a sentence a line, as mdoc wants it."""
    text = "\n".join(escape(line.strip()) if line.strip() else ".Pp" for line in lines)
    text = re.sub(r"([.:;])  ", r"\1\n", text)
    # one blank: an abbreviation, which mdoc would take for the end of a sentence
    return re.sub(r"\. (?=\S)", r".\\& ", text).split("\n")


def literal(lines):
    return [".Bd -literal -compact"] + [escape(line) for line in lines] + [".Ed"]


def split_arguments(text):
    parts, depth, part = [], 0, ""
    for c in text:
        depth += (c in "([") - (c in ")]")
        if c == "," and depth == 0:
            parts.append(part)
            part = ""
        else:
            part += c
    parts.append(part)
    return [" ".join(p.split()) for p in parts if p.strip()]


def plain(declaration):
    """The declaration on one line, without comment, attribute, body and ";"."""
    text = ATTRIBUTE.sub("", COMMENT.sub("", declaration)).split("{", 1)[0]
    text = " ".join(text.rstrip().rstrip(";").split())
    return re.sub(r"^static inline ", "", text)


def function_of(declaration):
    if declaration.startswith(("struct", "enum", "typedef")) and "(" not in declaration:
        return None
    if re.match(r"(struct|enum) pb_\w+ \{|enum \{|typedef", declaration):
        return None
    return FUNCTION.match(plain(declaration))


def prototype(m):
    lines = [f'.Ft "{m.group("type").strip()}"', f'.Fo {m.group("name")}']
    lines += [f'.Fa "{escape(a)}"' for a in split_arguments(m.group("args"))]
    return lines + [".Fc"]


def names_in(page):
    """Functions and tables that the page names."""
    return set(re.findall(r"^\.Fo (pb_\w+)$|^\.Va (pb_\w+)$", page, re.M))


def describe(header, root):
    """The lines of one header: prototypes for SYNOPSIS, text for DESCRIPTION."""
    head, groups = parse((root / "lib" / header).read_text(encoding="utf-8"))
    synopsis, text = [], [f".Ss {header}"] + prose(head)
    for comment, declarations in groups:
        code, tags = [], []
        for d in declarations:
            m, v = function_of(d), VARIABLE.match(plain(d))
            if m:
                if not d.startswith("static inline"):
                    synopsis += prototype(m)
                tags.append(f'.It Fn {m.group("name")}')
            elif v:
                tags.append(f'.It Va {v.group("name")}')
                synopsis += [f'.Vt "{v.group("type").strip()}"', f'.Va {v.group("name")}']
            else:
                code += d.split("\n")
            behind = COMMENT.findall(d.split(";", 1)[-1]) if (m or v) else []
            comment = comment + [x for c in behind for x in comment_lines(c)]
        if code:
            text += [".Pp"] + (prose(comment) if comment and not tags else [])
            text += literal(code)
        if tags:
            text += [".Pp", ".Bl -tag -width Ds -compact"] + tags
            text += literal(comment) if comment else []
            text += [".El"]
    return synopsis, text


def made(root):
    synopsis, text = [], []
    for header in public_headers(root):
        one, two = describe(header, root)
        synopsis, text = synopsis + one, text + two
    return synopsis, text


def page_of(root, kept):
    synopsis, text = made(root)
    before, _, after = kept.partition(".Sh DESCRIPTION\n")
    before = before.split(".In podbook.h\n")[0] + ".In podbook.h\n"
    words = after.split(MARK)[0]
    closing = kept.partition(".Sh SEE ALSO\n")
    return (before + "\n".join(synopsis) + "\n.Sh DESCRIPTION\n" + words + MARK + "\n"
            + "\n".join(text) + "\n" + closing[1] + closing[2])


def offered(library):
    out = subprocess.run(["nm", "-D", "--defined-only", library], check=True,
                         capture_output=True, text=True).stdout
    found = (line.split() for line in out.splitlines())
    return {f[2].split("@")[0] for f in found if len(f) == 3 and f[1] != "A"}


def compare_library(page, library):
    named = {a or b for a, b in names_in(page)}
    offers = offered(library)
    if not offers:
        raise SystemExit("libpodbook: the library offers nothing")
    faults = [f"{PAGE}: names {n}, which the library does not offer" for n in named - offers]
    faults += [f"{PAGE}: does not name {n}, which the library offers" for n in offers - named]
    return sorted(faults)


def main():
    if len(sys.argv) < 3 or sys.argv[1] not in ("check", "write"):
        sys.exit(__doc__)
    root = pathlib.Path(sys.argv[2])
    path = root / PAGE
    kept = path.read_text(encoding="utf-8")
    page = page_of(root, kept)
    if sys.argv[1] == "write":
        path.write_text(page, encoding="utf-8")
        return
    diff = list(difflib.unified_diff(kept.split("\n"), page.split("\n"), PAGE,
                                     "what the public headers give", "", "", 1, ""))
    print("\n".join(diff[:60]), end="\n" if diff else "")
    if diff:
        print("write it anew: tests/checks/libpodbook.py write .")
    faults = compare_library(page, sys.argv[3]) if len(sys.argv) > 3 else []
    print("\n".join(faults), end="\n" if faults else "")
    sys.exit(1 if diff or faults else 0)


if __name__ == "__main__":
    main()
