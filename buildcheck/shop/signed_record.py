"""The record of a signed stage as JSON, as `schemas/sign-off.schema.json` describes it: written, read, and looked for
beside a spec.

The record holds the SHA-256 of all its other fields, so that any later change of it is found. Somebody who changes it
on purpose can compute that number anew; the signature with a key of the shop's is for that.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from buildcheck.build import Stage
from buildcheck.shop.key import NO_KEY, Key, Signature
from buildcheck.shop.sign_off import COVERS, Provenance, SignedReading, SignOff, UsedFile
from buildcheck.shop.stated import digest, digest_of_text
from buildcheck.spec.schema import wrong_in_json

FORMAT = 1
SUFFIX = ".signed.json"
SPEC_SUFFIX = ".buildcheck.yaml"
SCHEMA = "sign-off.schema.json"


class NotARecord(ValueError):
    """A file that is no record of a signed stage; the message says why, in one sentence."""


class Record(NamedTuple):
    """A record that was read: what was signed, whether the file is as it was written, and its signature with a key."""

    sign_off: SignOff
    intact: bool
    signature: Signature | None
    sha256: str


def text_of(sign_off: SignOff, key: Key = NO_KEY) -> str:
    """The record as JSON, with its SHA-256 and, with a key of the shop's, a signature of that."""
    data = _data(sign_off)
    sha256 = digest(data)
    signature = key.signature_of(sha256)
    signed = None if signature is None else signature._asdict()
    return json.dumps({**data, "sha256": sha256, "signature": signed}, indent=2, ensure_ascii=False) + "\n"


@lru_cache(maxsize=2 * len(Stage))
def read_record(text: str) -> Record:
    """The record in a text; that of a text which was read before is kept, since a report that follows a spec reads the
    records again at each edit. Raises NotARecord for a text that is none."""
    try:
        data = json.loads(text, parse_constant=_refuse_constant)
    except ValueError as error:
        raise NotARecord(f"it is not JSON: {error}") from error
    except RecursionError:
        raise NotARecord("it is not JSON: it is nested too deep") from None
    wrong = wrong_in_json(data, SCHEMA)
    if wrong:
        raise NotARecord(f"it is no record of a signed stage: {wrong}")
    sha256, signature = data.pop("sha256"), data.pop("signature")
    return Record(
        _sign_off(data), digest(data) == sha256, None if signature is None else Signature(**signature), sha256
    )


def records_beside(spec_file: Path, stage: Stage) -> list[Path]:
    """The records of a stage beside a spec, the newest last: `front.tacked.signed.json`, `front.tacked.2.signed.json`
    and so on."""
    return [record_file(spec_file, stage, number) for number in _numbers(spec_file, stage)]


def next_number(spec_file: Path, stage: Stage) -> int:
    """The number of the next record of a stage: one more than the largest that is there."""
    return max(_numbers(spec_file, stage), default=0) + 1


def _numbers(spec_file: Path, stage: Stage) -> list[int]:
    """The numbers of the records of a stage beside a spec, also where one in between was taken away."""
    name = f"{spec_file.name.removesuffix(SPEC_SUFFIX)}.{stage.value}"
    named = re.compile(rf"{re.escape(name)}(?:\.([1-9][0-9]*))?{re.escape(SUFFIX)}")
    found = (named.fullmatch(each.name) for each in spec_file.parent.iterdir())
    return sorted(int(each[1] or 1) for each in found if each)


def record_file(spec_file: Path, stage: Stage, number: int) -> Path:
    """The file of the first, second ... record of a stage, beside the spec."""
    name = spec_file.name.removesuffix(SPEC_SUFFIX)
    again = "" if number == 1 else f".{number}"
    return spec_file.parent / f"{name}.{stage.value}{again}{SUFFIX}"


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number")


def _data(sign_off: SignOff) -> dict[str, Any]:
    made = sign_off.provenance
    return {
        "format": FORMAT,
        "stage": sign_off.stage.value,
        "signed_for": sign_off.signed_for,
        "covers": COVERS,
        "signed_by": sign_off.signed_by,
        "checked_by": sign_off.checked_by,
        "note": sign_off.note,
        "signed_at": sign_off.signed_at.astimezone(UTC).isoformat(timespec="seconds"),
        "spec": {"file": sign_off.spec_file, "sha256": digest(dict(sign_off.stated)), "stated": dict(sign_off.stated)},
        "tool": {"name": "buildcheck", "version": made.version},
        "standard": None if made.standard is None else made.standard._asdict(),
        "plugins": [plugin._asdict() for plugin in made.plugins],
        "rules": dict(made.rules),
        "accepted": list(sign_off.accepted),
        "readings": [reading._asdict() for reading in sign_off.readings],
    }


def _sign_off(data: Mapping[str, Any]) -> SignOff:
    standard = data["standard"]
    return SignOff(
        stage=Stage(data["stage"]),
        signed_by=data["signed_by"],
        checked_by=data["checked_by"],
        note=data["note"],
        signed_at=datetime.fromisoformat(data["signed_at"]),
        spec_file=data["spec"]["file"],
        stated=data["spec"]["stated"],
        provenance=Provenance(
            data["tool"]["version"],
            None if standard is None else UsedFile(**standard),
            tuple(UsedFile(**plugin) for plugin in data["plugins"]),
            data["rules"],
        ),
        readings=tuple(SignedReading(**reading) for reading in data["readings"]),
        accepted=tuple(data["accepted"]),
    )


def pages(rules: Mapping[str, str]) -> dict[str, str]:
    """The SHA-256 of each rule's page, by the rule's name."""
    return {name: digest_of_text(page) for name, page in sorted(rules.items())}
