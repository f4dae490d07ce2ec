"""Two screenshots of the projection page, for docs/projector.md.

usage: python docs/pictures/projector.py PAGE.html FOLDER      (needs playwright and Chromium)
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

CORNERS = ((215, 660), (1105, 700), (1020, 105), (285, 90))


def main(page_file: Path, folder: Path) -> None:
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(page_file.resolve().as_uri())
        for key in ("4", "8", "Tab", "3", "2", "Enter"):
            page.keyboard.press(key)
        for index, goal in enumerate(CORNERS):
            page.mouse.move(*page.evaluate("oaktag.state().points")[index]["px"])
            page.mouse.down()
            page.mouse.move(*goal)
            page.mouse.up()
        page.keyboard.press("1")
        page.wait_for_timeout(300)
        page.screenshot(path=folder / "projector-square-up.png")
        for key in ("Enter", "Enter", "j"):
            page.keyboard.press(key)
        page.wait_for_timeout(300)
        page.screenshot(path=folder / "projector-piece.png")
        browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
