"""Where the typeface for print stands: Debian's Noto Sans CJK, which has characters and toned pinyin in one face."""

import shutil
import subprocess
from pathlib import Path

FAMILY = "Noto Sans CJK SC"
_FOLDERS = (
    Path("/usr/share/fonts/opentype/noto"),
    Path("/usr/share/fonts/noto-cjk"),
    Path("/usr/share/fonts/google-noto-cjk"),
    Path("/usr/local/share/fonts"),
    Path.home() / ".local/share/fonts",
)
_FILES = ("NotoSansCJK-Regular.ttc", "NotoSansCJK-Bold.ttc")


class PrintError(RuntimeError):
    """A PDF cannot be made here: says what is missing and how to get it."""


def font_folder() -> Path:
    """The folder that holds the regular and the bold face. PrintError: there is none; names the package."""
    for folder in (_by_fontconfig(), *_FOLDERS):
        if folder is not None and all((folder / name).is_file() for name in _FILES):
            return folder
    raise PrintError(
        f"a PDF needs the typeface {FAMILY}, regular and bold, which is not here. On Debian and Ubuntu: "
        "apt-get install fonts-noto-cjk. HTML and Markdown need no typeface."
    )


def _by_fontconfig() -> Path | None:
    program = shutil.which("fc-match")
    if program is None:
        return None
    try:
        found = subprocess.run(
            [program, "-f", "%{file}", FAMILY], capture_output=True, text=True, timeout=10, check=True
        )
    except (OSError, subprocess.SubprocessError):
        return None
    path = Path(found.stdout)
    return path.parent if path.name.startswith("NotoSansCJK") else None
