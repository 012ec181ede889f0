#!/bin/sh
# The tests need a Chromium, a font with Chinese characters and LibreOffice Calc: say what is missing, or, as root on Debian, install it.
set -eu
missing=""
command -v chromium >/dev/null 2>&1 || command -v chromium-browser >/dev/null 2>&1 || command -v google-chrome >/dev/null 2>&1 || missing="chromium"
fc-list ':lang=zh' 2>/dev/null | grep -q . || missing="$missing fonts-noto-cjk"
command -v pdftotext >/dev/null 2>&1 || missing="$missing poppler-utils"
[ -e /usr/share/unicode/Unihan_Readings.txt.bz2 ] || [ -e /usr/share/unicode/Unihan_Readings.txt ] || missing="$missing unicode-data"
command -v soffice >/dev/null 2>&1 || command -v libreoffice >/dev/null 2>&1 || missing="$missing libreoffice-calc-nogui"
[ -z "$missing" ] && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    echo "installing for the browser, character and spreadsheet tests: $missing"
    apt-get update -qq && apt-get install -y -qq --no-install-recommends fontconfig $missing >/dev/null
else
    echo "The browser, character and spreadsheet tests need: $missing. On Debian: sudo apt-get install $missing" >&2
    exit 1
fi
