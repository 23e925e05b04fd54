#!/usr/bin/env bash
# Bring what the tests need besides Python where that may be done; else say what to install:
# a Chromium that drives the page, and pdftoppm, which draws a written quote as it is printed.
set -eu
chromium_there() {
    local name
    for name in chromium chromium-browser google-chrome; do
        if command -v "$name" >/dev/null 2>&1; then return 0; fi
    done
    return 1
}
missing() {
    chromium_there || echo chromium
    command -v pdftoppm >/dev/null 2>&1 || echo poppler-utils
}
if [ -z "$(missing)" ]; then exit 0; fi
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    export DEBIAN_FRONTEND=noninteractive
    # A mirror may be out of reach for a moment, or apt's lock taken: try again.
    for pause in 5 20 60 0; do
        # shellcheck disable=SC2046  # one word for each package
        if apt-get update -qq -o DPkg::Lock::Timeout=120 &&
            apt-get install -y -qq -o DPkg::Lock::Timeout=120 --no-install-recommends \
                $(missing) >/dev/null; then
            break
        fi
        sleep "$pause"
    done
    if [ -z "$(missing)" ]; then exit 0; fi
fi
echo "Some tests need" $(missing)". On Debian or Ubuntu: sudo apt-get install" $(missing) >&2
