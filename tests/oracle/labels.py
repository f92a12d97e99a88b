"""Reads every QR symbol of a PDF back: pdftoppm draws its pages at 200 dpi, zxing-cpp decodes them.

    python3 tests/oracle/labels.py --venv target/oracle labels.pdf

Prints one line a symbol: page, millimetres from the left and upper edge of its middle, text.

What this does not do: know what the labels should say; the test that calls it compares.
"""

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from run import prepare

DPI = 200


def read(pdf):
    import zxingcpp
    from PIL import Image

    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-png", pdf, f"{folder}/page"], check=True)
        for number, picture in enumerate(sorted(Path(folder).iterdir())):
            for symbol in zxingcpp.read_barcodes(Image.open(picture), formats=zxingcpp.BarcodeFormat.QRCode):
                corners = symbol.position
                ends = [corners.top_left, corners.top_right, corners.bottom_left, corners.bottom_right]
                x = sum(end.x for end in ends) / 4 * 25.4 / DPI
                y = sum(end.y for end in ends) / 4 * 25.4 / DPI
                print(number, f"{x:.1f}", f"{y:.1f}", symbol.text)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--venv", type=Path, default=Path("target/oracle"))
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    parser.add_argument("pdf")
    args = parser.parse_args()
    if args.inside:
        read(args.pdf)
        return
    python = prepare(args.venv.absolute())
    os.execv(python, [str(python), __file__, "--inside", args.pdf])


if __name__ == "__main__":
    sys.exit(main())
