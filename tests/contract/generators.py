"""Three common generators of clients make something of the document that has no numbered classes and compiles."""

from __future__ import annotations

import compileall
import re
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

BIN = Path(sys.executable).parent
NUMBERED = re.compile(r"^(?:export )?(?:class|interface|type) (\w*[a-z]\d+)\b", re.MULTILINE)


class GeneratorError(Exception):
    """A generator did not make what it should."""


def python_client(document: Path, config: Path, folder: Path) -> None:
    """openapi-python-client: every operation understood, what it writes compiles."""
    options: list[str | Path] = [
        "--config",
        config,
        "--fail-on-warning",
        "--meta",
        "none",
        "--output-path",
        folder / "client",
    ]
    run("openapi-python-client", BIN / "openapi-python-client", "generate", "--path", document, *options)
    compiled("openapi-python-client", folder / "client")


def data_models(document: Path, folder: Path) -> None:
    """datamodel-code-generator: models of the names in the document, which can be imported."""
    models = folder / "models.py"
    options = [
        "--input-file-type",
        "openapi",
        "--output-model-type",
        "pydantic_v2.BaseModel",
        "--formatters",
        "builtin",
    ]
    run("datamodel-codegen", BIN / "datamodel-codegen", "--input", document, "--output", models, *options)
    compiled("datamodel-codegen", folder)
    run("datamodel-codegen: import of what it wrote", sys.executable, "-W", "error", models)


def types(document: Path, tools: Path, folder: Path) -> None:
    """openapi-typescript: types that the strict compiler takes."""
    made = folder / "types.ts"
    run("openapi-typescript", tools / "openapi-typescript", document, "--output", made)
    run("tsc", tools / "tsc", "--noEmit", "--strict", made)
    refuse_numbered("openapi-typescript", made)


def compiled(name: str, folder: Path) -> None:
    """Everything in the folder compiles and has names of words. Raises GeneratorError."""
    if not compileall.compile_dir(folder, quiet=1):
        raise GeneratorError(f"{name}: what it wrote does not compile")
    for file in folder.rglob("*.py"):
        refuse_numbered(name, file)


def refuse_numbered(name: str, file: Path) -> None:
    """GeneratorError where two things of the document had one name, so that one of them was given a number."""
    if numbered := NUMBERED.findall(file.read_text("utf-8")):
        raise GeneratorError(f"{name}: numbered classes in {file.name}: {', '.join(numbered)}")


def run(name: str, *command: str | Path) -> None:
    """Run a tool; GeneratorError with what it said where it fails, or is not there."""
    try:
        done = subprocess.run([str(part) for part in command], capture_output=True, text=True, check=False)  # noqa: S603
    except OSError as error:
        raise GeneratorError(f"{name} cannot be run: {error}") from error
    if done.returncode:
        raise GeneratorError(f"{name} failed with exit code {done.returncode}:\n{done.stdout}{done.stderr}")


def check(document: Path, tools: Path, config: Path) -> None:
    """Run all three. Raises GeneratorError."""
    with TemporaryDirectory() as folder:
        for name in ("python", "models", "types"):
            (Path(folder) / name).mkdir()
        python_client(document, config, Path(folder) / "python")
        data_models(document, Path(folder) / "models")
        types(document, tools, Path(folder) / "types")
