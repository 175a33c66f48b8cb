"""Bad cases that cannot lie in a folder: what is no ordinary file, other encodings, and megabytes.

Each function puts its case into an empty folder and gives the path to check (nothing: case.toml).
"""

import os
import socket

SUPPLY = 'supplies = [ { id = "street", static = 60 } ]\n'
MEGABYTES = 10_000_000
MAKERS = {}


def maker(function):
    MAKERS[function.__name__.replace("_", "-")] = function
    return function


def write(path, content):
    """Bytes, a text, or what makes one (megabytes are made only when they are wanted)."""
    made = content() if callable(content) else content
    path.write_bytes(made if isinstance(made, bytes) else made.encode())


def case(name, content):
    """A case.toml of this content."""
    MAKERS[name] = lambda folder: write(folder / "case.toml", content)


def table(name, content, table_name="supplies"):
    """A case that names table.csv, of this content."""
    def make(folder):
        (folder / "case.toml").write_text(("" if table_name == "supplies" else SUPPLY) + f'{table_name} = "table.csv"\n')
        write(folder / "table.csv", content)
    MAKERS[name] = make


# ---- no ordinary file

@maker
def case_missing(folder):
    return "case.toml"


@maker
def case_a_folder(folder):
    (folder / "case.toml").mkdir()


@maker
def case_in_a_missing_folder(folder):
    return "nowhere/case.toml"


@maker
def case_below_a_file(folder):
    (folder / "file").write_text(SUPPLY)
    return "file/case.toml"


@maker
def case_a_named_pipe(folder):
    os.mkfifo(folder / "case.toml")


@maker
def case_a_socket(folder):
    with socket.socket(socket.AF_UNIX) as server:
        server.bind(str(folder / "case.toml"))


@maker
def case_an_endless_device(folder):
    return "/dev/zero"


@maker
def case_from_standard_input(folder):
    return "/dev/stdin"


@maker
def case_a_link_to_nothing(folder):
    (folder / "case.toml").symlink_to("nowhere.toml")


@maker
def case_a_link_to_itself(folder):
    (folder / "case.toml").symlink_to("case.toml")


@maker
def case_a_name_too_long(folder):
    return "a" * 300 + ".toml"


@maker
def case_not_to_be_read(folder):
    (folder / "as-nobody").touch()
    (folder / "case.toml").write_text(SUPPLY)
    (folder / "case.toml").chmod(0)


@maker
def case_in_a_folder_not_to_be_entered(folder):
    (folder / "as-nobody").touch()
    (folder / "closed").mkdir()
    (folder / "closed" / "case.toml").write_text(SUPPLY)
    (folder / "closed").chmod(0)
    return "closed/case.toml"


@maker
def case_larger_than_any(folder):
    with open(folder / "case.toml", "wb") as file:
        file.truncate(1 << 31)


def beside(name):
    """Registers a maker of what table.csv is, with the case that names it."""
    def register(function):
        def make(folder):
            (folder / "case.toml").write_text('supplies = "table.csv"\n')
            function(folder)
        MAKERS[name] = make
        return function
    return register


@beside("table-a-folder")
def table_a_folder(folder):
    (folder / "table.csv").mkdir()


@beside("table-a-named-pipe")
def table_a_named_pipe(folder):
    os.mkfifo(folder / "table.csv")


LINKS = {
    "out-of-the-folder": "/etc/hostname",
    "to-an-endless-device": "/dev/zero",
    "to-itself": "table.csv",
    "to-nothing": "nowhere.csv",
}
for where, target in LINKS.items():
    beside(f"table-a-link-{where}")(lambda folder, target=target: (folder / "table.csv").symlink_to(target))


@beside("table-not-to-be-read")
def table_not_to_be_read(folder):
    (folder / "as-nobody").touch()
    (folder / "table.csv").write_text("id,static\nstreet,60\n")
    (folder / "table.csv").chmod(0)


@beside("table-larger-than-any")
def table_larger_than_any(folder):
    with open(folder / "table.csv", "wb") as file:
        file.truncate(1 << 31)


@maker
def table_in_a_linked_folder_outside(folder):
    (folder / "tables").symlink_to("/etc")
    (folder / "case.toml").write_text('supplies = "tables/hostname"\n')


@maker
def table_named_twice_by_a_link(folder):
    (folder / "one.csv").write_text("id,static\nstreet,60\n")
    (folder / "two.csv").symlink_to("one.csv")
    (folder / "case.toml").write_text('supplies = ["one.csv", "two.csv"]\n')


@maker
def table_that_names_a_table(folder):
    """A CSV names no files: a ring of names cannot be written."""
    (folder / "one.csv").write_text('id,static\none.csv,"two.csv"\n')
    (folder / "two.csv").write_text('id,static\ntwo.csv,"one.csv"\n')
    (folder / "case.toml").write_text('supplies = ["one.csv", "two.csv"]\n')


# ---- encodings

case("utf-16-little-endian", "\ufeff".encode("utf-16-le") + SUPPLY.encode("utf-16-le"))
case("utf-16-big-endian", "\ufeff".encode("utf-16-be") + SUPPLY.encode("utf-16-be"))
case("utf-16-without-a-mark", SUPPLY.encode("utf-16-le"))
case("utf-32", SUPPLY.encode("utf-32"))
case("windows-1252", SUPPLY.encode() + 'title = "Südgarten"\n'.encode("cp1252"))
case("utf-8-overlong", SUPPLY.encode() + b'title = "\xc0\xaf"\n')
case("utf-8-surrogate", SUPPLY.encode() + b'title = "\xed\xa0\x80"\n')
case("utf-8-beyond-unicode", SUPPLY.encode() + b'title = "\xf4\x90\x80\x80"\n')
case("utf-8-cut-off", SUPPLY.encode() + b'title = "S\xc3')
case("utf-8-stray-continuation", SUPPLY.encode() + b"\x80\n")
case("nul-byte", SUPPLY.encode() + b'title = "a\0b"\n')
case("nul-byte-at-the-end", SUPPLY.encode() + b"\0")
case("byte-order-mark-alone", b"\xef\xbb\xbf")
case("byte-order-mark-and-crlf", b'\xef\xbb\xbftitel = "Corner"\r\n' + SUPPLY.encode()[:-1] + b"\r\nground = x\r\n")
case("column-behind-wide-characters", 'title = "äöü 水"\nsupplies = [ { id = "水", static = 60, presure = 5 } ]\n')
case("a-picture", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR")
case("an-archive", b"PK\x03\x04\x14\0\x06\0")
case("a-printable-document", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n")
case("a-web-page", "<!DOCTYPE html>\n<html><body>Sign in</body></html>\n")
case("another-format", '{ "supplies": [ { "id": "street", "static": 60 } ] }\n')
case("a-merge-that-was-left", "<<<<<<< mine\n" + SUPPLY + "=======\n" + SUPPLY + ">>>>>>> theirs\n")
table("table-utf-16", "\ufeffid,static\nstreet,60\n".encode("utf-16-le"))
table("table-windows-1252", "id,static\nstreet,60\nSüd,50\n".encode("cp1252"))
table("table-nul-byte", b"id,static\nstr\0eet,60\n")
table("table-a-spreadsheet", b"PK\x03\x04\x14\0\x06\0\x08\0")
table("table-byte-order-mark-alone", b"\xef\xbb\xbf")
table("table-byte-order-mark-and-crlf", b"\xef\xbb\xbfid,static\r\nstreet,x\r\n")

# ---- numbers at the edge of double (IEEE 754 binary64: largest 1.7976931348623157e308, least 5e-324)

case("number-above-the-largest", SUPPLY + "ground = 1.7976931348623159e308\n")
case("number-largest", 'supplies = [ { id = "street", static = 1.7976931348623157e308 } ]\n')
case("number-largest-negative", SUPPLY + 'pipes = [ { from = "street", to = "T", length = -1.7976931348623157e308, bore = 1 } ]\n')
case("number-below-the-least", SUPPLY + 'pipes = [ { from = "street", to = "T", length = 5, bore = 1e-999 } ]\n')
case("number-minus-zero", SUPPLY + 'pipes = [ { from = "street", to = "T", length = 5, bore = -0.0 } ]\n')
case("number-vanishing-in-its-unit", SUPPLY + 'pipes = [ { from = "street", to = "T", length = 5, bore = "5e-324 mm" } ]\n')
case("number-minus-not-a-number", 'supplies = [ { id = "street", static = -nan } ]\n')
case("number-of-a-million-digits", lambda: "ground = " + "1" * 1_000_000 + "\n" + SUPPLY)
case("number-of-a-million-digits-as-text", lambda: 'ground = "' + "1" * 1_000_000 + '"\n' + SUPPLY)

# ---- megabytes

case("line-of-one-letter", lambda: "a" * MEGABYTES)
case("line-of-blanks", lambda: " " * MEGABYTES)
case("line-of-a-comment", lambda: "#" * MEGABYTES)
case("line-of-equals", lambda: "=" * MEGABYTES)
case("line-of-one-text-never-closed", lambda: 'title = "' + "x" * MEGABYTES)
case("line-of-one-text", lambda: 'titel = "' + "x" * MEGABYTES + '"\n')
case("line-of-quotes", lambda: "a = " + '"' * MEGABYTES)
case("line-of-curly-quotes", lambda: "a = " + "“" * (MEGABYTES // 3))
case("line-of-escapes", lambda: 'title = "' + "\\q" * (MEGABYTES // 2) + '"')
case("line-of-commas", lambda: "a = [" + "," * MEGABYTES)
case("line-of-values", lambda: "a = [" + "1," * (MEGABYTES // 2) + "]")
case("line-of-empty-rows", lambda: "pipes = [" + "{}," * (MEGABYTES // 3) + "]")
case("line-of-keys", lambda: "a = { " + ", ".join(f"k{i} = 1" for i in range(MEGABYTES // 12)) + " }")
case("line-of-one-key", lambda: "k" * MEGABYTES + " = 1\n" + SUPPLY)
case("line-of-rows-with-bare-sizes", lambda: "supplies = [ " + "{ id = 3/4, static = 60 }, " * (MEGABYTES // 27) + "]")
case("line-of-rows-with-curly-quotes",
     lambda: "supplies = [ " + "".join(f"{{ id = “H{i}”, static = 60 }}, " for i in range(MEGABYTES // 36)) + "]")
case("line-of-rows-with-one-id", lambda: "supplies = [ " + '{ id = "H", static = 60 }, ' * (MEGABYTES // 27) + "]")
case("line-of-rows-with-unknown-keys",
     lambda: SUPPLY + "heads = [ " + "".join(f'{{ id = "H{i}", nozle = "n" }}, ' for i in range(MEGABYTES // 30)) + "]")
case("line-of-one-along", lambda: SUPPLY + 'pipes = [ { along = "' + " x".join(f"p{i}" for i in range(MEGABYTES // 10)) + '", bore = 1 } ]')
case("line-that-is-no-text", lambda: b"a" * MEGABYTES + b"\xff")
case("lines-empty", lambda: "\n" * MEGABYTES)
case("lines-ending-with-cr", lambda: "a = 1\r" * (MEGABYTES // 6))
case("lines-of-nonsense", lambda: "x y\n" * (MEGABYTES // 4))
case("lines-with-open-quotes", lambda: 'x = "\n' * (MEGABYTES // 6))
case("lines-of-keys", lambda: "".join(f"k{i} = 1\n" for i in range(1_000_000)))
case("lines-of-one-heading", lambda: "[a]\n" * (MEGABYTES // 4))
case("lines-of-row-headings", lambda: "[[pipes]]\n" * (MEGABYTES // 10))
case("lines-of-a-text-never-closed", lambda: 'a = """' + "x\n" * (MEGABYTES // 2))
case("nested-lists", lambda: "a = " + "[" * 100_000 + "]" * 100_000 + "\n")
case("nested-lists-never-closed", lambda: "a = " + "[" * MEGABYTES)
case("nested-rows", lambda: "a = " + "{a=" * 100_000 + "1" + "}" * 100_000 + "\n")
case("nested-words-of-a-key", lambda: "a." * 100_000 + "a = 1\n")
case("nested-words-of-a-heading", lambda: "[" + "a." * 100_000 + "a]\n")
case("slips-in-hundreds", lambda: "supplies = [\n" + "".join(f'  {{ id = "S{i}", static = 60, }},\n' for i in range(300)) + "]\n")
case("errors-in-thousands", lambda: "supplies = [\n" + "".join(f'  {{ id = "S{i}" }},\n' for i in range(3000)) + "]\n")
case("laterals-of-a-million-heads", lambda: SUPPLY + "laterals = [\n" + "".join(
    f'  {{ id = "L{i}-", from = "street", first = 5, heads = 10000, spacing = 9, nozzle = "?", size = "pvc-cl200 1" }},\n'
    for i in range(100)) + "]\n")
table("table-line-of-one-letter", lambda: "a" * MEGABYTES)
table("table-line-of-commas", lambda: "," * MEGABYTES)
table("table-line-of-quotes", lambda: '"' * MEGABYTES)
table("table-line-of-one-cell", lambda: 'id,static\n"' + "x" * MEGABYTES + '",60\n')
table("table-quote-never-closed", lambda: 'id,static\n"' + "x\n" * (MEGABYTES // 2))
table("table-of-a-million-columns", lambda: ",".join(f"k{i}" for i in range(1_000_000)) + "\nstreet" + ",1" * 999_999 + "\n")
table("table-of-one-key-in-every-column", lambda: "id" + ",id" * 900 + "\nstreet\n")
table("table-row-of-a-million-cells", lambda: "id,static\nstreet,60" + ",1" * 1_000_000 + "\n")
table("table-of-millions-of-rows", lambda: "id,static\n" + "S,60\n" * (MEGABYTES // 5))
table("table-of-wrong-numbers", lambda: "id,static\n" + "".join(f"S{i},x\n" for i in range(1_000_000)))
table("table-of-semicolons", lambda: "id,static\n" + "S;60\n" * (MEGABYTES // 5))
table("table-of-open-quotes", lambda: "id,static\n" + '"x\n' * (MEGABYTES // 3))
table("table-of-one-endless-chart", lambda: "id,pressure,flow\nn,,\n" + ",1,1\n" * (MEGABYTES // 5), "nozzles")
table("table-of-empty-lines", lambda: "\n" * MEGABYTES)
