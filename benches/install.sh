#!/usr/bin/env bash
# Turns a Debian 12 into one that has the rivals of the benchmark, under target/rivals.
# One invariant: running it again changes nothing; every version is named here or is the release of Debian.
# Must not: name a registry, or install a Python package outside the virtual environment.
set -euo pipefail

root="$(cd "$(dirname "$0")/.." && pwd)"
rivals="${CARGO_TARGET_DIR:-$root/target}/rivals"
needed=()
command -v python3 >/dev/null || needed+=(python3)
python3 -c 'import ensurepip' 2>/dev/null || needed+=(python3-venv)
command -v chromium >/dev/null || needed+=(chromium)
# the text layout that WeasyPrint calls
ldconfig -p | grep -q libpangoft2-1.0 || needed+=(libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0)
if ((${#needed[@]})); then
    as_root=()
    [[ "$(id -u)" == 0 ]] || as_root=(sudo)
    export DEBIAN_FRONTEND=noninteractive
    "${as_root[@]}" apt-get update -qq
    "${as_root[@]}" apt-get install -y -qq --no-install-recommends "${needed[@]}" </dev/null
fi
[[ -x "$rivals/bin/python" ]] || python3 -m venv "$rivals"
"$rivals/bin/pip" install --quiet --disable-pip-version-check weasyprint==70.0 reportlab==5.1.0
echo "rivals: installed in $rivals"
