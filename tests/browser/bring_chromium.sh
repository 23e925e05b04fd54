#!/usr/bin/env bash
# Bring a Chromium for the browser tests where that may be done; else say what to install.
set -eu
there() {
    local name
    for name in chromium chromium-browser google-chrome; do
        if command -v "$name" >/dev/null 2>&1; then return 0; fi
    done
    return 1
}
if there; then exit 0; fi
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    export DEBIAN_FRONTEND=noninteractive
    # A mirror may be out of reach for a moment, or apt's lock taken: try again.
    for pause in 5 20 60 0; do
        if apt-get update -qq -o DPkg::Lock::Timeout=120 &&
            apt-get install -y -qq -o DPkg::Lock::Timeout=120 --no-install-recommends chromium \
                >/dev/null; then
            break
        fi
        sleep "$pause"
    done
    if there; then exit 0; fi
fi
echo "The browser tests need Chromium. On Debian or Ubuntu: sudo apt-get install chromium" >&2
