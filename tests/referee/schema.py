"""Turns schemas and files, one case a line, into what PyPI jsonschema says of each: a verdict by a reader of JSON Schema.

One invariant: a schema is first judged itself, against the draft it names; each case is answered in one line, in order.
Must not: share code or data with the program, or look at a file other than what it is handed.
"""
import json
import sys

from jsonschema import Draft7Validator


def main() -> None:
    for line in sys.stdin:
        case = json.loads(line)
        Draft7Validator.check_schema(case["schema"])
        if case["schema"]["$schema"] != Draft7Validator.META_SCHEMA["$schema"]:
            raise SystemExit("another draft than the one that is judged")
        errors = sorted(
            ("/".join(str(part) for part in error.absolute_path), error.message)
            for error in Draft7Validator(case["schema"]).iter_errors(case["data"])
        )
        print(json.dumps(errors))


main()
