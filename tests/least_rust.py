#!/usr/bin/env python3
"""Turns what cargo says of all packages into a verdict: none asks for a later Rust than the one that is promised.

One invariant: every package that names a version is compared; how many name none is told.
Must not: fetch anything, or pass without having compared a package.
"""
import json
import sys


def version(text: str) -> tuple[int, ...]:
    parts = [int(part) for part in text.split(".")]
    return tuple(parts + [0] * (3 - len(parts)))


def main() -> int:
    promised = version(sys.argv[1])
    packages = json.load(sys.stdin)["packages"]
    named = [package for package in packages if package.get("rust_version")]
    later = [p for p in named if version(p["rust_version"]) > promised]
    for package in later:
        print(f"{package['name']} {package['version']} asks for Rust {package['rust_version']}")
    print(f"{len(named)} packages name a version of Rust, {len(packages) - len(named)} name none")
    return 1 if later or not named else 0


sys.exit(main())
