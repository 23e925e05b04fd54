#!/usr/bin/env bash
# A PostgreSQL for the ledger's tests: its own cluster, on loopback, on a free port.
#
#   .ci/postgres.sh run COMMAND...   start one, run COMMAND with LEDGER_TEST_URL set, stop it
#   .ci/postgres.sh start DIR        start one in DIR and print its address
#   .ci/postgres.sh stop DIR         stop it and take DIR away
#
# PostgreSQL is installed from Debian where it is missing and this user may do so.
set -euo pipefail

programs() {
    local found
    found="$(find /usr/lib/postgresql -path '*/bin/initdb' 2>/dev/null | sort -V | tail -n 1)"
    if [ -n "$found" ]; then
        dirname "$found"
    elif command -v initdb >/dev/null && command -v postgres >/dev/null; then
        dirname "$(command -v initdb)"
    fi
}

# PostgreSQL refuses to run as root; Debian's package brings the user postgres.
as_server_user() {
    if [ "$(id -u)" -eq 0 ]; then
        (cd / && setpriv --reuid=postgres --regid=postgres --clear-groups -- "$@")
    else
        "$@"
    fi
}

bring() {
    [ -n "$(programs)" ] && return
    if [ "$(id -u)" -ne 0 ] || ! command -v apt-get >/dev/null; then
        echo "PostgreSQL is missing; install it (Debian: apt-get install postgresql)." >&2
        exit 2
    fi
    # No cluster of Debian's own: the tests make theirs.
    mkdir -p /etc/postgresql-common/createcluster.d
    echo "create_main_cluster = false" >/etc/postgresql-common/createcluster.d/none.conf
    export DEBIAN_FRONTEND=noninteractive
    local pause
    # A mirror may be out of reach for a moment, or apt's lock taken: try again.
    for pause in 5 20 60 0; do
        if apt-get update -qq -o DPkg::Lock::Timeout=120 >&2 &&
            apt-get install -y -qq -o DPkg::Lock::Timeout=120 --no-install-recommends \
                postgresql >&2; then
            return
        fi
        sleep "$pause"
    done
    echo "PostgreSQL could not be installed; see above what apt-get said." >&2
    exit 2
}

start() {
    local folder="$1" bin port tries=0
    bring
    bin="$(programs)"
    mkdir -p "$folder"
    chmod 0700 "$folder"
    [ "$(id -u)" -ne 0 ] || chown postgres "$folder"
    as_server_user "$bin/initdb" -D "$folder/data" -U shop --auth=trust \
        --encoding=UTF8 --locale=C.UTF-8 >"$folder.log" 2>&1 || { cat "$folder.log" >&2; exit 2; }
    while :; do
        # Two jobs that picked the same port: one fails to bind and picks again. Outgoing
        # connections have ports above these.
        port=$((20000 + RANDOM % 12000))
        if as_server_user "$bin/pg_ctl" -D "$folder/data" -l "$folder/server.log" -w -t 180 \
            -o "-h 127.0.0.1 -p $port -k $folder -c fsync=${POSTGRES_FSYNC:-on}" start >>"$folder.log" 2>&1; then
            break
        fi
        tries=$((tries + 1))
        if [ "$tries" -ge 5 ]; then
            cat "$folder.log" "$folder/server.log" >&2
            exit 2
        fi
    done
    echo "postgresql://shop@127.0.0.1:$port/postgres"
}

stop() {
    local folder="$1"
    if [ -d "$folder/data" ]; then
        as_server_user "$(programs)/pg_ctl" -D "$folder/data" -m fast -w stop >&2 || true
    fi
    rm -rf "$folder" "$folder.log"
}

case "${1:-}" in
run)
    shift
    [ "$#" -gt 0 ] || { echo "Name the command to run." >&2; exit 2; }
    # Not where TMPDIR says: the server's user may not reach it, and a socket's path is short.
    home="$(mktemp -d /tmp/ledger.XXXXXX)"
    chmod 0755 "$home"
    trap 'stop "$home/server"; rm -rf "$home"' EXIT
    LEDGER_TEST_URL="$(start "$home/server")"
    export LEDGER_TEST_URL
    "$@"
    ;;
start | stop)
    [ "$#" -eq 2 ] || { echo "Name the folder." >&2; exit 2; }
    "$1" "$2"
    ;;
*)
    sed -n '2,8s/^# \{0,1\}//p' "$0" >&2
    exit 2
    ;;
esac
