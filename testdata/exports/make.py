"""Makes the invented exports beside it anew, each in the habit of another program, with the right layout as truth.yaml.

python3 testdata/exports/make.py            writes NAME/in and NAME/truth.yaml
python3 testdata/exports/make.py --check    writes nothing; fails where a file differs from what would be written
"""

import sys
import tempfile
from pathlib import Path

import kit
import crew
import devices
import dispatch
import fresh
import later

MODULES = [dispatch, devices, crew, later, fresh]


def write(root):
    kit.ROOT = root
    for name, make in kit.EXPORTS.items():
        e = kit.Export(name)
        make(e)
        e.end()


def check():
    with tempfile.TemporaryDirectory() as scratch:
        write(Path(scratch))
        made = {p.relative_to(scratch): p.read_bytes() for p in Path(scratch).rglob("*") if p.is_file()}
    here = Path(__file__).parent
    return [str(name) for name, data in sorted(made.items()) if not (here / name).exists() or (here / name).read_bytes() != data]


if __name__ == "__main__":
    if "--check" in sys.argv:
        different = check()
        print("\n".join(f"{name}: differs from what make.py writes" for name in different))
        sys.exit(bool(different))
    write(Path(__file__).parent)
