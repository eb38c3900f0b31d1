"""Keys, where the operator wants them: a file of their hashes, compared in constant time, and what each key may take.

The file is TOML, a table a key; `witnessmark make-key NAME` writes one and shows the key, which is kept nowhere:

    [[key]]
    name = "van-7"
    sha256 = "..."
    requests_per_minute = 600   # optional, as are the others
    work_seconds_per_minute = 30
    uses = ["work", "metrics"]

A key is 32 random bytes, so that one round of SHA-256 keeps it; a slow hash is for words that people choose. The
budgets are buckets of a few lines here, since libraries for limits count whole events before they happen: what work
costs is known only afterwards, and is then owed. With several workers each has its part of a budget.
"""

from __future__ import annotations

import hashlib
import hmac
import math
import re
import secrets
import time
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError
from starlette.responses import Response

from witnessmark import settings
from witnessmark.api.edge.caller import Caller
from witnessmark.api.problems import respond

Use = Literal["work", "metrics"]
MINUTE = 60.0
_OPEN = re.compile(r"/|/livez|/readyz|/openapi\.json|/docs(/[^/]*)?|/guide(/.*)?|/problems/[^/]*")
"""What answers without a key: health, and pages that tell how to call. Whatever else there is takes one."""
_CHALLENGE = 'Bearer realm="witnessmark"'
Budgeted = Annotated[float, Field(gt=0, le=1e9)]


class Key(BaseModel):
    """A row of the file."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: Annotated[str, StringConstraints(pattern="^[A-Za-z0-9._-]{1,60}$")]
    sha256: Annotated[str, StringConstraints(pattern="^[0-9a-f]{64}$")]
    requests_per_minute: Budgeted | None = None
    work_seconds_per_minute: Budgeted | None = None
    uses: tuple[Use, ...] = ("work",)


class _File(BaseModel):
    model_config = ConfigDict(extra="forbid")

    key: list[Key] = Field(min_length=1, max_length=10_000)


@dataclass(slots=True)
class Bucket:
    """What may be taken in a minute, filled evenly; what was taken without asking is owed."""

    a_minute: float
    held: float = field(init=False)
    at: float = field(default_factory=time.monotonic)

    def __post_init__(self) -> None:
        """Full at first."""
        self.held = self.a_minute

    def wait(self, amount: float) -> float:
        """Seconds until so much is there, 0 where it is."""
        now = time.monotonic()
        self.held = min(self.a_minute, self.held + (now - self.at) * self.a_minute / MINUTE)
        self.at = now
        return max(0.0, (min(amount, self.a_minute) - self.held) * MINUTE / self.a_minute)

    def take(self, amount: float) -> None:
        """It is taken, be it there or not."""
        self.held -= amount


@dataclass(slots=True)
class Account:
    """A key, and what is left of its budgets in this process. share: of the whole budget."""

    key: Key
    share: float = 1.0
    requests: Bucket | None = field(init=False)
    work: Bucket | None = field(init=False)

    def __post_init__(self) -> None:
        """With full buckets."""
        self.requests = _bucket(self.key.requests_per_minute, self.share)
        self.work = _bucket(self.key.work_seconds_per_minute, self.share)

    def ask(self) -> int:
        """Whole seconds after which to ask again; 0 where the request is let in, and counted."""
        wait = max(_wait(self.requests, 1.0), _wait(self.work, 0.0))
        if wait == 0 and self.requests is not None:
            self.requests.take(1.0)
        return math.ceil(wait)

    def worked(self, seconds: float) -> None:
        """Slow work was done for it."""
        if self.work is not None:
            self.work.take(seconds)


def _bucket(a_minute: float | None, share: float) -> Bucket | None:
    return None if a_minute is None else Bucket(a_minute * share)


def _wait(bucket: Bucket | None, amount: float) -> float:
    return 0.0 if bucket is None else bucket.wait(amount)


@dataclass(slots=True)
class Keys:
    """All keys."""

    accounts: Sequence[Account]

    def holder(self, given: bytes) -> Account | None:
        """Whose key it is. Every hash is compared, each in constant time: the time taken tells nothing."""
        digest, found = hashlib.sha256(given).hexdigest(), None
        for account in self.accounts:
            if hmac.compare_digest(account.key.sha256, digest):
                found = account
        return found

    def refusal(self, caller: Caller) -> Response | None:
        """What a caller without a good key is answered; else the caller has its key's name and pays with its budget."""
        if _OPEN.fullmatch(caller.path):
            return None
        given = given_key(caller.scope["headers"])
        account = None if given is None else self.holder(given)
        if account is None:
            return _unknown(none=given is None)
        caller.name, caller.pays = account.key.name, account.worked
        return _refused(account, "metrics" if caller.path == "/metrics" else "work")


def _unknown(*, none: bool) -> Response:
    challenge = _CHALLENGE if none else _CHALLENGE + ', error="invalid_token"'
    detail = "send one key, as bearer in Authorization or in X-API-Key" if none else "there is no such key"
    return respond("no-key", detail, headers={"www-authenticate": challenge})


def _refused(account: Account, use: Use) -> Response | None:
    if use not in account.key.uses:
        headers = {"www-authenticate": _CHALLENGE + ', error="insufficient_scope"'}
        return respond("key-not-enough", f"the key is not good for {use}", headers=headers)
    if seconds := account.ask():
        return respond("budget-spent", "the key has taken what it may", headers={"retry-after": str(seconds)})
    return None


def given_key(headers: Iterable[tuple[bytes, bytes]]) -> bytes | None:
    """The one key among the headers; None where there is none, or more than one."""
    found = [_bearer(value) if name == b"authorization" else value.strip() for name, value in headers if name in _NAMES]
    return found[0] if len(found) == 1 and found[0] else None


_NAMES = {b"authorization", b"x-api-key"}


def _bearer(value: bytes) -> bytes:
    scheme, _, token = value.partition(b" ")
    return token.strip() if scheme.lower() == b"bearer" else b""


@cache
def current() -> Keys | None:
    """Those of the setting; None where no keys are asked for. SettingError for a file that cannot be used."""
    own = settings.current()
    return Keys([Account(key, 1 / own.workers) for key in read(Path(own.keys_file))]) if own.keys_file else None


def read(path: Path) -> list[Key]:
    """The keys of a file. SettingError, which repeats nothing of its contents."""
    try:
        rows = _File.model_validate(tomllib.loads(path.read_text("utf-8"))).key
    except OSError as fault:
        raise settings.SettingError(f"keys_file: cannot be read ({type(fault).__name__})") from None
    except ValidationError as fault:
        places = "; ".join(".".join(map(str, e["loc"])) + f": {e['type']}" for e in fault.errors()[:5])
        raise settings.SettingError(f"keys_file: {places}") from None
    except ValueError:
        raise settings.SettingError("keys_file: no TOML in UTF-8") from None
    for column in ("name", "sha256"):
        if len({getattr(row, column) for row in rows}) < len(rows):
            raise settings.SettingError(f"keys_file: two rows have the same {column}")
    return rows


def made(name: str) -> tuple[str, str]:
    """A new key, and its row for the file."""
    key = secrets.token_urlsafe(32)
    digest = hashlib.sha256(key.encode()).hexdigest()
    return key, f'[[key]]\nname = "{Key(name=name, sha256=digest).name}"\nsha256 = "{digest}"\n'
