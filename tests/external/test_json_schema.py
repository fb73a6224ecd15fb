#!/usr/bin/python3
"""python3-jsonschema (2020-12) takes what the writer writes and refuses what it should."""
import sys

sys.dont_write_bytecode = True
import json_cases as c  # noqa: E402

try:
    import jsonschema
except ImportError:
    print("skipped: no jsonschema")
    sys.exit(c.SKIP)

for name in c.FORMATS:
    jsonschema.Draft202012Validator.check_schema(c.schema(name))
VALIDATORS = c.validators(jsonschema)


def valid(schema, record):
    error = next(VALIDATORS[schema].iter_errors(record), None)
    return None if error is None else error.message


sys.exit(c.held_against(valid) != 0)
