#!/usr/bin/env bash
# Bring a Chromium for the browser tests where that may be done; else say what to install.
set -eu
for name in chromium chromium-browser google-chrome; do
    if command -v "$name" >/dev/null 2>&1; then exit 0; fi
done
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    apt-get update -qq
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium >/dev/null
    exit 0
fi
echo "The browser tests need Chromium. On Debian or Ubuntu: sudo apt-get install chromium" >&2
