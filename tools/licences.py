#!/usr/bin/env python3
"""Prints the licences of all crates that the command is linked from.

Asks cargo about the platform named by the first argument. A crate without a licence file
of its own is told to be under the Apache licence, if it offers that: its text is our own LICENSE. A
crate that offers nothing of the kind stops the release. The same text is printed once, with the
names of all crates that have it.
"""

import json
import pathlib
import subprocess
import sys

#: How the names of files begin that hold a licence or what goes along with it.
BEGINNINGS = ("licen", "copying", "notice", "unlicense")


def ask_cargo(*words):
    """What a command of cargo prints."""
    command = ["cargo", *words]
    return subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True).stdout


def linked_packages(platform):
    """The packages that are linked in; macros run in the compiler and are not."""
    # `cargo metadata` counts in what only tests need, `cargo tree` knows no files: both are asked.
    tree = ["tree", "--locked", "--edges", "normal,no-proc-macro", "--target", platform]
    lines = ask_cargo(*tree, "--no-dedupe", "--prefix", "none", "--format", "{p}").splitlines()
    linked = {tuple(line.split()[:2]) for line in lines if line} - {own_name(lines)}
    known = ask_cargo("metadata", "--format-version=1", "--locked", "--filter-platform", platform)
    metadata = json.loads(known)
    named = {(package["name"], "v" + package["version"]): package for package in metadata["packages"]}
    return [named[name] for name in sorted(linked)]


def own_name(lines):
    """The package itself, which `cargo tree` names first."""
    return tuple(lines[0].split()[:2])


def licence_texts(package):
    """The texts of a package's licence files."""
    folder = pathlib.Path(package["manifest_path"]).parent
    files = [path for path in folder.rglob("*") if path.name.lower().startswith(BEGINNINGS)]
    # Deeper folders hold what tests and examples come with.
    depth = len(folder.parts) + 2
    files = [path for path in files if path.is_file() and len(path.parts) <= depth]
    texts = [path.read_text("utf-8", "replace") for path in sorted(files) if path.suffix != ".rs"]
    return ["\n".join(line.rstrip() for line in text.strip().splitlines()) for text in texts]


def main():
    """Prints a list of all crates, and after it each text once."""
    owners, bare = {}, []
    packages = linked_packages(sys.argv[1])
    print("Slipwright is linked from these crates, each under the licence named beside it.\n")
    for package in packages:
        name = f"{package['name']} {package['version']}"
        print(f"- {name}: {package['license']}")
        texts = licence_texts(package)
        for text in texts:
            owners.setdefault(text, []).append(name)
        if not texts:
            if "Apache-2.0" not in (package["license"] or ""):
                sys.exit(f"{name} has no licence file, and {package['license']} is not ours")
            bare.append(name)
    if bare:
        print("\nUnder the Apache License 2.0 as in LICENSE, without a file of their own:", end="")
        print("", *bare, sep="\n- ")
    for text, names in owners.items():
        print("\n" + "-" * 78 + "\n" + ", ".join(names) + "\n\n" + text)


if __name__ == "__main__":
    main()
