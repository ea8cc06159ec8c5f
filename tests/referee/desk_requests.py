"""Sends forged and broken requests over plain sockets to the page on loopback, and judges every answer.

One invariant: no answer to a request that is not the desk's own holds its token or anything of a page; a fault ends this with exit status 1.
Must not: send anything to another machine, use an HTTP library (it would mend what is broken here), or run without an end.

Called with the address that the program prints: `desk_requests.py http://127.0.0.1:PORT/TOKEN/`; the last line counts what was asked.
With `--json` it reads the same from standard input: {"address": "...", "pages": ["", "..."], "post": "path of a form"}.

What is asked follows RFC 9110 and 9112 (HTTP), RFC 3986 (addresses), the Fetch standard (`Origin`), Fetch Metadata (`Sec-Fetch-Site`), CSP 3.
"""

import json
import re
import socket
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import urlsplit

PATIENCE = 2.0
MOST = 4 << 20

POLICY = ("default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'")
HEADERS = {
    "cache-control": "no-store",
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
}


class Answer:
    """One response as it came: status (0: the line was closed without one), headers in lower case, body; `open`: nobody closed the line."""

    def __init__(self, raw, still_open, seconds, reached=True):
        self.raw, self.open, self.seconds, self.reached = raw, still_open, seconds, reached
        head, _, self.body = raw.partition(b"\r\n\r\n")
        lines = head.decode("latin-1").split("\r\n")
        found = re.fullmatch(r"HTTP/1\.[01] ([0-9]{3})(?: .*)?", lines[0])
        self.status = int(found[1]) if found else 0
        self.odd = bool(raw) and not found
        self.headers = {}
        for line in lines[1:]:
            name, _, value = line.partition(":")
            self.headers.setdefault(name.strip().lower(), []).append(value.strip())

    def of(self, name):
        return ", ".join(self.headers.get(name, []))


class Desk:
    def __init__(self, address):
        parts = urlsplit(address)
        if parts.hostname not in ("127.0.0.1", "::1") or not parts.port:
            raise SystemExit(f"{address} is not on loopback")
        self.place = (parts.hostname, parts.port)
        self.host = parts.netloc
        self.root = parts.path if parts.path.endswith("/") else parts.path + "/"
        self.token = self.root.strip("/").split("/")[0]
        if len(self.token) < 16:
            raise SystemExit(f"a token of {len(self.token)} characters can be guessed")
        self.origin = f"http://{self.host}"

    def connect(self):
        line = socket.create_connection(self.place, timeout=PATIENCE)
        line.settimeout(PATIENCE)
        return line

    def read(self, line, started, whole=True):
        """What comes until the line is closed, a whole response is there, or patience ends."""
        raw = b""
        still_open = False
        end = started + 2 * PATIENCE
        while len(raw) < MOST and time.monotonic() < end:
            try:
                part = line.recv(65536)
            except TimeoutError:
                still_open = True
                break
            except OSError:
                break
            if not part:
                break
            raw += part
            if whole and complete(raw):
                break
        return Answer(raw, still_open, time.monotonic() - started)

    def send(self, raw, after=None, half_close=False, whole=True):
        started = time.monotonic()
        try:
            opened = self.connect()
        except OSError:
            return Answer(b"", False, time.monotonic() - started, reached=False)
        with opened as line:
            try:
                line.sendall(raw)
                if after:
                    after(line)
                if half_close:
                    line.shutdown(socket.SHUT_WR)
            except OSError:
                # refused while we were still sending: there may be an answer all the same
                pass
            return self.read(line, started, whole)

    def request(self, path=None, method="GET", host=None, more=(), body=b"", version="HTTP/1.1"):
        lines = [f"{method} {self.root if path is None else path} {version}"]
        hosts = [self.host] if host is None else host
        lines += [f"Host: {one}" for one in hosts]
        lines += [f"{name}: {value}" for name, value in more]
        return "\r\n".join([*lines, "", ""]).encode("latin-1") + body


def complete(raw):
    head, found, body = raw.partition(b"\r\n\r\n")
    if not found:
        return False
    length = re.search(rb"(?im)^content-length:\s*([0-9]+)", head)
    if length:
        return len(body) >= int(length[1])
    return b"chunked" in head.lower() and body.endswith(b"0\r\n\r\n")


class Judge:
    def __init__(self, desk, private):
        self.desk, self.private, self.faults, self.asked = desk, private, [], 0

    def fault(self, name, text):
        self.faults.append(f"{name}: {text}")

    def common(self, name, answer):
        self.asked += 1
        if not answer.reached:
            # silence is a refusal only of who listened
            self.fault(name, "nobody takes the line")
        if answer.status >= 500:
            self.fault(name, f"status {answer.status}")
        if answer.odd:
            self.fault(name, f"no HTTP: {answer.raw[:60]!r}")
        if answer.of("set-cookie"):
            self.fault(name, "sets a cookie")
        for header in answer.headers:
            if header.startswith("access-control-allow-"):
                self.fault(name, f"has {header}")
        for header in ("server", "x-powered-by"):
            if answer.of(header):
                self.fault(name, f"tells what it is made with: {header}: {answer.of(header)}")

    def page(self, name, answer, status=200):
        """An answer that the desk gives to itself."""
        self.common(name, answer)
        if answer.status != status:
            self.fault(name, f"status {answer.status}, not {status}")
        self.guarded(name, answer)

    def guarded(self, name, answer):
        policy = [one.strip() for one in answer.of("content-security-policy").split(";")]
        for wanted in POLICY:
            if wanted not in policy:
                self.fault(name, f"its policy lacks {wanted}")
        for part in policy:
            if "'unsafe" in part or "*" in part or "http:" in part or "https:" in part:
                self.fault(name, f"its policy allows {part}")
        for header, wanted in HEADERS.items():
            if answer.of(header) != wanted:
                self.fault(name, f"{header} is {answer.of(header)!r}, not {wanted}")

    def refused(self, name, answer, statuses=range(400, 500), silence=False, unfinished=False):
        """An answer to what is not the desk's: refused; with `silence` also a line that is closed without an answer; where the request
        is `unfinished` the desk may wait for the rest of it."""
        self.common(name, answer)
        if answer.status == 0:
            if unfinished:
                pass
            elif not silence:
                self.fault(name, "no answer" + (", and the line is still open" if answer.open else ""))
            elif answer.open:
                self.fault(name, f"the line is still open after {answer.seconds:.1f} s")
        elif answer.status not in statuses:
            self.fault(name, f"status {answer.status}")
        if self.desk.token.encode() in answer.raw:
            self.fault(name, "the token is in the answer")
        for part in self.private:
            if part in answer.raw:
                self.fault(name, f"a page is in the answer: {part[:40]!r}")


def hosts(desk, judge, first):
    port = desk.place[1]
    bad = {
        "no Host": [],
        "two Hosts": [desk.host, desk.host],
        "a second Host": [desk.host, "example.org"],
        "empty": [""],
        "example.org": ["example.org"],
        "example.org with the port": [f"example.org:{port}"],
        "localhost with another port": [f"localhost:{port % 65535 + 1}"],
        "the address without the port": ["127.0.0.1"],
        "another loopback address": [f"127.0.0.2:{port}"],
        "the address as one number": [f"2130706433:{port}"],
        "a name that begins with the address": [f"127.0.0.1.example.org:{port}"],
        "a dot at the end": [f"127.0.0.1.:{port}"],
        "user before it": [f"x@127.0.0.1:{port}"],
        "two in one": [f"{desk.host}, example.org"],
        "a nought before the port": [f"127.0.0.1:0{port}"],
        "0.0.0.0": [f"0.0.0.0:{port}"],
        "upper case, foreign": [f"EXAMPLE.ORG:{port}"],
    }
    for name, host in bad.items():
        judge.refused(f"Host, {name}", desk.send(desk.request(host=host)))
    # names of this machine: to be had or not, but never half
    for name in (f"localhost:{port}", f"LOCALHOST:{port}", f"localhost.:{port}"):
        answer = desk.send(desk.request(host=[name]))
        if answer.status in (200, first.status):
            judge.page(f"Host, {name}", answer, answer.status)
        else:
            judge.refused(f"Host, {name}", answer)
    # absolute form: what it names wins over Host (RFC 9112, 3.2.2), so both must be ours
    judge.refused("absolute form, foreign", desk.send(desk.request(f"http://example.org{desk.root}")))
    judge.refused("absolute form, foreign in both", desk.send(desk.request(f"http://example.org{desk.root}", host=["example.org"])))
    judge.refused("absolute form, foreign Host", desk.send(desk.request(desk.origin + desk.root, host=["example.org"])))
    judge.refused("absolute form, https", desk.send(desk.request(f"https://example.org{desk.root}")))


def origins(desk, judge, post):
    form = [("Content-Type", "application/x-www-form-urlencoded"), ("Content-Length", "3")]
    foreign = {
        "foreign": [("Origin", "http://example.org")],
        "null": [("Origin", "null")],
        "another port": [("Origin", f"http://127.0.0.1:{desk.place[1] % 65535 + 1}")],
        "https": [("Origin", f"https://{desk.host}")],
        "longer": [("Origin", f"{desk.origin}.example.org")],
        "two": [("Origin", desk.origin), ("Origin", "http://example.org")],
        "cross-site": [("Sec-Fetch-Site", "cross-site")],
        "same-site": [("Sec-Fetch-Site", "same-site")],
        "own origin, cross-site": [("Origin", desk.origin), ("Sec-Fetch-Site", "cross-site")],
    }
    for name, more in foreign.items():
        judge.refused(f"POST, origin {name}", desk.send(desk.request(post, "POST", more=[*form, *more], body=b"a=b")))
        judge.refused(f"DELETE, origin {name}", desk.send(desk.request(post, "DELETE", more=more)))
    for name in ("foreign", "null", "same-site", "cross-site"):
        # a picture, a script or a frame of another page asks like this
        more = [*foreign[name], ("Sec-Fetch-Mode", "no-cors"), ("Sec-Fetch-Dest", "script")]
        judge.refused(f"GET, origin {name}", desk.send(desk.request(more=more)))
    for kind in ("text/plain", "multipart/form-data; boundary=x", "", "application/json, text/plain"):
        more = [("Content-Type", kind)] * bool(kind) + [("Content-Length", "9"), ("Origin", "http://example.org")]
        judge.refused(f"POST, foreign, as {kind or 'nothing'}", desk.send(desk.request(post, "POST", more=more, body=b'{"a":"b"}')))
    more = [("Content-Type", "text/plain"), ("Content-Length", "9"), ("Origin", desk.origin), ("Sec-Fetch-Site", "same-origin")]
    judge.refused("POST, own origin, text/plain", desk.send(desk.request(post, "POST", more=more, body=b'{"a":"b"}')))
    asked = [("Origin", "http://example.org"), ("Access-Control-Request-Method", "POST"), ("Access-Control-Request-Headers", "content-type")]
    judge.refused("preflight", desk.send(desk.request(post, "OPTIONS", more=asked)))


def tokens(desk, judge, pages):
    token = desk.token
    other = "".join("a" if one != "a" else "b" for one in token)
    nearly = token[:-1] + ("a" if token[-1] != "a" else "b")
    swapped = token.swapcase()
    for path in pages:
        for name, wrong in {"none": "", "wrong": f"{other}/", "last letter wrong": f"{nearly}/", "shorter": f"{token[:-1]}/", "longer": f"{token}a/"}.items():
            judge.refused(f"token, {name}: {path or 'the first page'}", desk.send(desk.request(f"/{wrong}{path}")))
    if swapped != token:
        judge.refused("token, other case", desk.send(desk.request(f"/{swapped}/")))
    for path in ("/", "/favicon.ico", "/robots.txt", "/index.html", "/.git/config", "/assets/", "//"):
        judge.refused(f"without token: {path}", desk.send(desk.request(path)))
    judge.refused("token as a query", desk.send(desk.request(f"/?token={token}")))
    judge.refused("token as authorisation", desk.send(desk.request("/", more=[("Authorization", f"Bearer {token}"), ("Cookie", f"token={token}")])))


def paths(desk, judge):
    root = desk.root
    tricks = [
        "../", "../../", "../../../../etc/passwd", "..%2f..%2f..%2fetc/passwd", "%2e%2e/%2e%2e/etc/passwd", "%2e%2e%2f%2e%2e%2fetc%2fpasswd",
        "..\\..\\etc\\passwd", "..%5c..%5cetc", "%252e%252e%252f", "./././", "//", "//etc/passwd", "%00", "a%00.html", "%2f", "%2fetc%2fpasswd",
        "%", "%zz", "%c0%ae%c0%ae/", "%ff", "~root", "con", ";/", "?/../", "#/", "clinic.toml", "register.jsonl", ".", "..", "...", "a" * 100_000,
        "a/" * 4000, "%41" * 5000,
    ]  # fmt: skip
    for trick in tricks:
        name = f"path {trick[:40]}"
        answer = desk.send(desk.request(root + trick))
        # some are another way of writing the first page, and nothing is wrong with that
        if answer.status in (200, 303, 307, 308):
            judge.common(name, answer)
            judge.guarded(name, answer) if answer.status == 200 else None
            place = answer.of("location")
            if place and not (place.startswith(root) or place.startswith(desk.origin + root)):
                judge.fault(name, f"leads to {place}")
            if b"root:" in answer.body:
                judge.fault(name, "a file of this machine")
        else:
            judge.refused(name, answer, silence=True) if len(trick) > 1000 else judge.refused(name, answer)
    for raw in ("/%2e%2e", "/..", "/../../etc/passwd", "//example.org/", "/\\example.org", "http:/", "*", "example.org:80", "", " "):
        judge.refused(f"target {raw!r}", desk.send(desk.request(raw)), silence=True)


def shapes(desk, judge, post):
    root, host = desk.root, desk.host

    # all that comes until the line is closed: what is hidden behind a refused request must not be answered either
    def raw(name, text, silence=True, unfinished=False):
        text = text.encode("latin-1") if isinstance(text, str) else text
        judge.refused(name, desk.send(text, whole=unfinished), silence=silence, unfinished=unfinished)

    raw("no version", f"GET {root}\r\nHost: {host}\r\n\r\n")
    raw("version 0.9", "GET /\r\n", unfinished=True)
    raw("version 2.0", f"GET {root} HTTP/2.0\r\nHost: {host}\r\n\r\n")
    raw("version 1.1.1", f"GET {root} HTTP/1.1.1\r\nHost: {host}\r\n\r\n")
    raw("HTTP/2 preface", b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n")
    raw("a TLS greeting", b"\x16\x03\x01\x00\xa5\x01\x00\x00\xa1\x03\x03" + bytes(160), unfinished=True)
    raw("bytes", bytes(range(1, 256)) * 4 + b"\r\n\r\n")
    raw("nought in the line", f"GET {root}\0 HTTP/1.1\r\nHost: {host}\r\n\r\n")
    raw("two spaces", f"GET  {root} HTTP/1.1\r\nHost: {host}\r\n\r\n")
    raw("space in the target", f"GET {root} x HTTP/1.1\r\nHost: {host}\r\n\r\n")
    raw("a folded line", f"GET {root} HTTP/1.1\r\nHost: {host}\r\nX-A: b\r\n  c\r\n\r\n")
    raw("a folded Host", f"GET {root} HTTP/1.1\r\nHost:\r\n {host}\r\n\r\n")
    raw("space before the colon", f"GET {root} HTTP/1.1\r\nHost : {host}\r\n\r\n")
    raw("no colon", f"GET {root} HTTP/1.1\r\nHost: {host}\r\nnonsense\r\n\r\n")
    raw("nought in a header", f"GET {root} HTTP/1.1\r\nHost: {host}\r\nX-A: b\0c\r\n\r\n")
    raw("a header of a megabyte", f"GET {root} HTTP/1.1\r\nHost: {host}\r\nX-A: {'b' * (1 << 20)}\r\n\r\n")
    raw("ten thousand headers", f"GET {root} HTTP/1.1\r\nHost: {host}\r\n" + "X-A: b\r\n" * 10_000 + "\r\n")
    raw("a name of 64 KB", f"GET {root} HTTP/1.1\r\nHost: {host}\r\n{'X' * 65536}: b\r\n\r\n")
    start = f"POST {post} HTTP/1.1\r\nHost: {host}\r\nOrigin: {desk.origin}\r\nContent-Type: application/x-www-form-urlencoded\r\n"
    smuggled = f"0\r\n\r\nGET {root} HTTP/1.1\r\nHost: {host}\r\n\r\n"
    raw("both lengths", start + f"Content-Length: {len(smuggled)}\r\nTransfer-Encoding: chunked\r\n\r\n" + smuggled)
    raw("chunked twice", start + f"Transfer-Encoding: chunked, chunked\r\n\r\n{smuggled}")
    raw("chunked, and something else", start + f"Transfer-Encoding: chunked, identity\r\n\r\n{smuggled}")
    raw("two lengths", start + "Content-Length: 3\r\nContent-Length: 4\r\n\r\na=bc")
    raw("a length below nought", start + "Content-Length: -1\r\n\r\na=b")
    raw("a length with a plus", start + "Content-Length: +3\r\n\r\na=b")
    raw("a length that is no number", start + "Content-Length: x\r\n\r\na=b")
    raw("a length of twenty digits", start + "Content-Length: 99999999999999999999\r\n\r\na=b")
    raw("a chunk that is no number", start + "Transfer-Encoding: chunked\r\n\r\nzz\r\na=b\r\n0\r\n\r\n")
    raw("a chunk larger than memory", start + "Transfer-Encoding: chunked\r\n\r\nffffffffffffffff\r\na=b\r\n")
    # refused for its length alone, before anything of it is read
    raw("a body of a gigabyte, promised", start + f"Content-Length: {1 << 30}\r\n\r\na=b", silence=False)

    def without_end(line):
        for _ in range(1024):
            line.sendall(b"10000\r\n" + b"a" * 65536 + b"\r\n")

    chunked = (start + "Transfer-Encoding: chunked\r\n\r\n").encode()
    judge.refused("chunks without end (64 MB of them)", desk.send(chunked, without_end), silence=True)
    # the desk's own request, whatever it makes of it
    judge.common("a body that is no text", desk.send((start + "Content-Length: 4\r\n\r\n").encode() + b"\xff\xfe=\x00"))
    # what stands first is answered, what is behind it must be a request of its own
    pipeline = desk.request() + desk.request("/") + desk.request(host=["example.org"], more=[("Connection", "close")])
    started = time.monotonic()
    with desk.connect() as line:
        line.sendall(pipeline)
        said = desk.read(line, started, whole=False).raw
    statuses = [int(one) for one in re.findall(rb"HTTP/1\.1 ([0-9]{3})", said)]
    judge.asked += 3
    if statuses[:1] != [200] or any(status < 400 or status >= 500 for status in statuses[1:]):
        judge.fault("three in a row", f"answered by {statuses}")


def methods(desk, judge, pages):
    for method in ("PUT", "DELETE", "TRACE", "OPTIONS", "CONNECT", "PATCH", "PROPFIND", "get", "BREW", "X" * 5000):
        for path in [desk.root, *[desk.root + page for page in pages[1:2]]]:
            name = f"method {method[:12]}"
            judge.refused(name, desk.send(desk.request(path, method)), range(400, 502), silence=len(method) > 100)
    judge.refused("CONNECT elsewhere", desk.send(desk.request("example.org:443", "CONNECT")), silence=True)
    answer = desk.send(desk.request(method="HEAD", more=[("Connection", "close")]))
    judge.common("HEAD", answer)
    if answer.body:
        judge.fault("HEAD", "has a body")
    for more, status in (([], 200), ([("Connection", "keep-alive")], 200)):
        answer = desk.send(desk.request(version="HTTP/1.0", more=more))
        judge.common("HTTP/1.0", answer)
        if answer.status == 200:
            judge.guarded("HTTP/1.0", answer)
        elif not 400 <= answer.status < 500:
            judge.fault("HTTP/1.0", f"status {answer.status}")
    judge.refused("HTTP/1.0 without Host", desk.send(desk.request(host=[], version="HTTP/1.0")))


def slow(desk, judge):
    """Lines that are opened and never ended must not keep others waiting."""
    begun = f"GET {desk.root} HTTP/1.1\r\nHost: {desk.host}\r\nX-A: ".encode()
    lines = []
    try:
        for at in range(50):
            line = desk.connect()
            line.sendall((begun, b"", begun + b"\r\n", b"POST " + desk.root.encode())[at % 4])
            lines.append(line)
        for _ in range(5):
            for line in lines:
                try:
                    line.sendall(b"b")
                except OSError:
                    pass
            answer = desk.send(desk.request())
            judge.page("while fifty lines are slow", answer)
            if answer.seconds > PATIENCE:
                judge.fault("while fifty lines are slow", f"answered after {answer.seconds:.1f} s")
            time.sleep(0.2)
    finally:
        for line in lines:
            line.close()
    judge.page("half closed, a whole request", desk.send(desk.request(), half_close=True))
    judge.refused("half closed, half a request", desk.send(begun, half_close=True), silence=True)
    judge.refused("closed at once", desk.send(b"", half_close=True), silence=True)
    with ThreadPoolExecutor(32) as many:
        for answer in many.map(lambda _: desk.send(desk.request()), range(128)):
            judge.page("many at once", answer)
    judge.page("after all this", desk.send(desk.request()))


def private_parts(answer):
    """What tells a page of the desk from a refusal: its title and first heading."""
    found = re.findall(rb"<(?:title|h1)[^>]*>([^<]{4,})<", answer.body)
    return [one.strip() for one in found if one.strip()]


def main():
    if sys.argv[1:] == ["--json"]:
        said = json.load(sys.stdin)
    else:
        said = {"address": sys.argv[1]}
    desk = Desk(said["address"])
    pages = said.get("pages", [""])
    post = desk.root + said.get("post", "")
    first = desk.send(desk.request())
    judge = Judge(desk, said.get("private", []) and [one.encode() for one in said["private"]] or private_parts(first))
    for page in pages:
        judge.page(f"page {page or 'first'}", desk.send(desk.request(desk.root + page)))
        navigated = [("Sec-Fetch-Site", "none"), ("Sec-Fetch-Mode", "navigate"), ("Sec-Fetch-Dest", "document")]
        judge.page(f"page {page or 'first'}, address typed", desk.send(desk.request(desk.root + page, more=navigated)))
    hosts(desk, judge, first)
    origins(desk, judge, post)
    tokens(desk, judge, pages)
    paths(desk, judge)
    shapes(desk, judge, post)
    methods(desk, judge, pages)
    slow(desk, judge)
    print("\n".join(dict.fromkeys(judge.faults)) or f"{judge.asked} requests answered as they should be")
    sys.exit(bool(judge.faults))


main()
