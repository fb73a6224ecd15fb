"""What mutate.py breaks: every field of the tables of the courses; every comparison, sign
and figure with a name of the code that replays and plans; every sign and factor of the
estimators, and their comparisons turned round.

Sources are read as tokens, not as text: comments, strings and directives stay as they are.
"""
import pathlib
import re

TABLES = ["lib/core/courses.c"]
PLANS = ["lib/core/course.c", "lib/core/course_tasks.c", "lib/core/life.c",
         "lib/core/task.c"]
ESTIMATORS = ["lib/core/ripening.c", "lib/core/ripening_data.c",
              "lib/core/ripening_gauss.c", "lib/core/ripening_kernel.c",
              "lib/core/ripening_law.c", "lib/core/ripening_slice.c",
              "lib/core/setrate.c"]

TOKEN = re.compile(r"""
    (?P<skip>/\*.*?\*/|//[^\n]*|^[ ]*\#(?:[^\n\\]|\\.)*|\s+)
  | (?P<string>"(?:[^"\\]|\\.)*"|'(?:[^'\\]|\\.)*')
  | (?P<number>(?:0[xX][0-9a-fA-F]+|(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\w*)
  | (?P<word>[A-Za-z_]\w*)
  | (?P<op>->|\+\+|--|<<=|>>=|<<|>>|<=|>=|==|!=|&&|\|\||[-+*/%&|^]=|\.\.\.|.)
""", re.X | re.S | re.M)

LIMITS = {"<": "<=", "<=": "<", ">": ">=", ">=": ">"}
OPPOSITE = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "==": "!=", "!=": "=="}
LOGIC = {"&&": "||", "||": "&&"}
SIGNS = {"+": "-", "-": "+", "+=": "-=", "-=": "+="}
FACTORS = {"*": "/", "/": "*", "*=": "/=", "/=": "*="}
TYPES = {"void", "char", "int", "double", "bool", "size_t", "uint32_t", "uint64_t",
         "int32_t", "int64_t", "pb_day", "unsigned", "const"}


class Token:
    def __init__(self, match):
        self.kind, self.text = match.lastgroup, match.group()
        self.start, self.end = match.span()


def tokens(source):
    return [Token(m) for m in TOKEN.finditer(source) if m.lastgroup != "skip"]


class Mutant:
    """One change of one file: source[start:end] becomes new.

    Its name says where and what, and no number of a line: a list of names survives an
    edit elsewhere.
    """

    def __init__(self, path, source, start, end, new, said=None):
        self.path, self.source = path, source
        self.start, self.end, self.new = start, end, new
        first = source.rfind("\n", 0, start) + 1
        last = source.find("\n", end)
        old = " ".join(source[start:end].split())
        said = said or f"{{{old} => {new}}}"
        line = source[first:start] + said + source[end:last]
        self.name = f"{path} {place(source, start)}: {' '.join(line.split())}"

    def text(self):
        return self.source[:self.start] + self.new + self.source[self.end:]


def place(source, at):
    """The function or table around a place: the last name in column 0 before it."""
    found = "-"
    for m in re.finditer(r"^(?!\s|[{}/#]).*?\b(\w+)(?:\(|\[.*=\s*\{$)", source[:at], re.M):
        found = m.group(1)
    return found


def closing(toks, i):
    """The token that closes the bracket at i."""
    depth = 0
    for j in range(i, len(toks)):
        depth += toks[j].text in ("(", "[", "{")
        depth -= toks[j].text in (")", "]", "}")
        if depth == 0:
            return j
    raise ValueError(f"no end of the bracket at {toks[i].start}")


# ---- code --------------------------------------------------------------------------------

def is_cast(toks, i):
    """Does the bracket that ends at i hold a type?"""
    j = i
    while toks[j].text != "(":
        j -= 1
    inside = {t.text for t in toks[j + 1:i]}
    return bool(inside & (TYPES | {"struct", "enum"})) and toks[j - 1].text != "sizeof"


def is_unary(toks, i):
    before = toks[i - 1]
    if before.text == ")":
        return is_cast(toks, i - 1)
    return not (before.kind in ("word", "number", "string") or before.text == "]") or \
        before.text in ("return", "case")


def is_pointer(toks, i):
    """Is the star at i of a declaration?"""
    return toks[i - 1].text in TYPES or toks[i - 2].text in ("struct", "enum")


def is_of_memory(toks, i):
    """Does token i join two questions whether something is NULL, as after allocations?
    Those are for tests/oom."""
    if toks[i].text not in LOGIC or toks[i - 1].text != "NULL":
        return False
    j = i + 1
    while toks[j].text not in (*LOGIC, ")", ";", "("):
        j += 1
    return toks[j - 1].text == "NULL"


def changes(toks, i, estimates):
    """(new text) of each way to break token i."""
    t = toks[i]
    if t.kind == "number":
        named = re.fullmatch(r"[A-Z_]+", toks[i - 2].text) and toks[i - 1].text == "="
        return [str(int(t.text) + 1)] if named and not estimates else []
    if t.kind != "op" or is_of_memory(toks, i):
        return []
    if t.text == "-" and is_unary(toks, i):
        return [""]
    if t.text == "!":
        return [""]
    if t.text in ("+", "*", "&") and is_unary(toks, i):
        return []
    if t.text == "*" and is_pointer(toks, i):
        return []
    every = (OPPOSITE, LOGIC, SIGNS, FACTORS) if estimates else \
        (LIMITS, OPPOSITE, LOGIC, SIGNS)
    return [table[t.text] for table in every if t.text in table]


def of_code(path, source, estimates):
    toks = tokens(source)
    for i in range(2, len(toks)):
        for new in changes(toks, i, estimates):
            yield Mutant(path, source, toks[i].start, toks[i].end, new)


# ---- tables ------------------------------------------------------------------------------

def rows(toks, opening):
    """The rows of a table: lists of (first, last) token of each field.  Designated rows
    count like others."""
    i = opening + 1
    end = closing(toks, opening)
    while i < end:
        if toks[i].text == "{":
            last = closing(toks, i)
            yield list(fields(toks, i + 1, last))
            i = last
        i += 1


def fields(toks, i, end):
    first = i
    while i < end:
        if toks[i].text in ("(", "[", "{"):
            i = closing(toks, i)
        elif toks[i].text == ",":
            yield first, i - 1
            first = i + 1
        i += 1
    if first < end:
        yield first, end - 1


def bits(n, name):
    return [(f"({{}}) ^ PB_BIT({k})", f"{name} ^ {k}") for k in range(n)]


def others(names, name):
    return [(text, f"{name} = {text}") for text in names]


def steps(n, name):
    """Another stand, and whether the finding moves to one at all."""
    return [(f"({{0}}) == PB_STAYS ? {n - 1} : PB_STAYS", f"{name}: stays or moves"),
            (f"({{0}}) == PB_STAYS ? 0 : (({{0}}) + 1) % {n}", f"{name} + 1")]


def text_of(name):
    return [("@text", f"{name} = another")]


FLAGS = ["PB_LEAST_FIRST", "PB_AMOUNT", "PB_SAMPLE", "PB_SCALE", "PB_ENTERS", "PB_COUNT",
         "PB_PLANTS_LAST", "PB_GOES_ON"]
HOWS = ["PB_HOW_WINDOW", "PB_HOW_STEPS", "PB_HOW_WEEKLY", "PB_HOW_HOLDING",
        "PB_HOW_RIPENESS"]


def broken_fields(struct, stand_n, finding_n):
    """What is tried of each field of a row: (text with the old one as {}, how it is
    said)."""
    if struct == "pb_finding":
        return [
            text_of("word"), bits(stand_n, "from"), steps(stand_n, "to"),
            others(["PB_TALLY_SEEN", "PB_TALLY_NEW"], "tally"),
            [(f"({{}}) ^ {f}", f"flags ^ {f}") for f in FLAGS],
            text_of("command"), text_of("instead"), text_of("ended"),
        ]
    if struct == "pb_plan":
        return [
            [("({}) + 1", "task + 1")], others(HOWS, "how"), [("({}) + 1", "stage + 1")],
            [("({}) + 1", "from + 1")], [("({}) + 1", "to + 1")], bits(stand_n, "wanted"),
            bits(stand_n, "since"), bits(finding_n, "answers"),
        ]
    if struct == "pb_advice":
        return [bits(stand_n, "stands"), bits(finding_n, "findings"), text_of("text")]
    return [
        [], [("'Z'", "letter")], text_of("noun"), text_of("unit"), text_of("start"),
        [("!({})", "many")], [("!({})", "staged")], [], bits(stand_n, "open"), [], [], [],
    ]


def applied(template, old):
    """The new text of a field; None: it is the old one."""
    if template == "@text":
        return None if old == "NULL" else '"?"'
    new = template.format(old)
    return None if new == old else new


TABLE = re.compile(r"^(?:static )?const (struct pb_(?:finding|plan|advice|course)|char \*const)"
                   r" (\w+)\[\w*\] = \{", re.M)
KINDS = ["shoot", "cross", "seed", "flask", "cutting", "pollen"]  # ORDER KIND


def sizes(source, toks):
    """kind: (how many stands it has, how many findings)"""
    n = {}
    for m in TABLE.finditer(source):
        opening = opening_of(toks, m)
        n[m.group(2).replace("pb_stand_names", "cross_stands")] = \
            sum(t.kind == "string" for t in toks[opening:closing(toks, opening)]) \
            if "char" in m.group(1) else sum(1 for _ in rows(toks, opening))
    return {kind: (n[f"{kind}_stands"], n[f"{kind}_findings"]) for kind in KINDS}


def opening_of(toks, table):
    return next(i for i, t in enumerate(toks) if t.start == table.end() - 1)


def of_tables(path, source):
    toks = tokens(source)
    of_kind = sizes(source, toks)
    for m in TABLE.finditer(source):
        opening = opening_of(toks, m)
        if "char" in m.group(1):
            for t in toks[opening:closing(toks, opening)]:
                if t.kind == "string":
                    yield Mutant(path, source, t.start, t.end, '"?"')
            continue
        own = m.group(2).split("_")[0]
        for n, row in enumerate(rows(toks, opening)):
            stand_n, finding_n = of_kind[own if own in KINDS else KINDS[n]]
            ways = broken_fields(m.group(1).split()[-1], stand_n, finding_n)
            yield from of_row(path, source, toks, f"{m.group(2)} row {n}", row, ways)


def of_row(path, source, toks, where, row, ways):
    for (first, last), tried in zip(row, ways):
        start, end = toks[first].start, toks[last].end
        old = source[start:end]
        for template, said in tried:
            new = applied(template, " ".join(old.split()))
            if new is not None:
                mutant = Mutant(path, source, start, end, new)
                mutant.name = f"{path} {where}: {said}"
                yield mutant


# ---- all of them --------------------------------------------------------------------------

def every(root):
    """All mutants in a fixed order; of equal names the second is #2."""
    seen = {}
    for files, make in ((TABLES, of_tables),
                        (PLANS, lambda p, s: of_code(p, s, False)),
                        (ESTIMATORS, lambda p, s: of_code(p, s, True))):
        for path in files:
            source = (pathlib.Path(root) / path).read_text(encoding="utf-8")
            for mutant in make(path, source):
                seen[mutant.name] = seen.get(mutant.name, 0) + 1
                if seen[mutant.name] > 1:
                    mutant.name += f" #{seen[mutant.name]}"
                yield mutant
