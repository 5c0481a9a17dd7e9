"""What the scripts that make data files have in common: writing what they made, or comparing it."""

import sys
import tempfile


def write_or_check(script, usage, folder, make):
    """Writes the files that `make` makes, by name, into `folder`; with `--check` compares them.

    `make` is given an empty folder to fetch into. `usage` is printed when anything else is asked for.
    """
    check = sys.argv[1:] == ["--check"]
    if sys.argv[1:] and not check:
        sys.exit(usage)
    with tempfile.TemporaryDirectory() as fetched:
        files = make(fetched)
    stale = []
    for name, text in files.items():
        path = folder / name
        if check:
            if not path.exists() or path.read_text(encoding="utf-8") != text:
                stale.append(name)
        else:
            path.write_text(text, encoding="utf-8")
    if stale:
        sys.exit(f"not what tools/{script} makes: " + ", ".join(stale))
    print(f"{len(files)} files", "are as made" if check else "written")
