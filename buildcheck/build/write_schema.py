"""Write `schemas/build-spec.schema.json` from the classes of the build: `python -m buildcheck.build.write_schema`."""

from __future__ import annotations

import json
from importlib.resources import as_file, files

from buildcheck.build.json_schema import spec_schema


def schema_text() -> str:
    """The text of the file."""
    return json.dumps(spec_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    with as_file(files("buildcheck_schemas").joinpath("build-spec.schema.json")) as path:
        path.write_text(schema_text(), encoding="utf-8")
