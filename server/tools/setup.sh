# Shared by server/start and tests/run, which source it: installs what is missing.
# Needs bash and a Debian 12; says the one command to run where it may not install.

BUILD_PACKAGES=(gcc libc6-dev meson ninja-build pkg-config libmicrohttpd-dev libcjson-dev
    libsqlite3-dev libsodium-dev libglib2.0-dev zlib1g-dev tzdata ca-certificates)

fail() {
    printf '%s\n' "$*" >&2
    exit 1
}

# Runs a command quietly; shows what it said when it fails.
quietly() {
    local log
    log=$(mktemp)
    if ! "$@" >"$log" 2>&1; then
        cat "$log" >&2
        rm -f "$log"
        return 1
    fi
    rm -f "$log"
}

# Runs a command as root, or returns 1 when that is not allowed without asking.
as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    else
        sudo -n "$@"
    fi
}

may_be_root() {
    [ "$(id -u)" -eq 0 ] || sudo -n true 2>/dev/null
}

# Installs those of the named Debian packages that are missing.
need_packages() {
    local package missing=() installed
    command -v dpkg-query >/dev/null ||
        fail "This is not Debian. Install what these packages hold: $*"
    # Absent packages are no error here; they are what we look for.
    installed=$(dpkg-query -W -f '${Package} ${db:Status-Status}\n' "$@" 2>/dev/null) || true
    for package in "$@"; do
        grep -qx "$package installed" <<<"$installed" || missing+=("$package")
    done
    [ ${#missing[@]} -gt 0 ] || return 0

    if ! may_be_root; then
        printf '%s\n' "Some packages are missing. Install them with this command, then" \
            "start again:" "" \
            "sudo sh -c 'apt-get update && apt-get install -y --no-install-recommends ${missing[*]}'" >&2
        exit 1
    fi
    echo "installing ${missing[*]}" >&2
    # An update can fail while the lists at hand are good enough.
    quietly as_root apt-get -o DPkg::Lock::Timeout=300 update || true
    quietly as_root env DEBIAN_FRONTEND=noninteractive apt-get \
        -o DPkg::Lock::Timeout=300 install -y --no-install-recommends "${missing[@]}" ||
        fail "The packages could not be installed."
}

node_is_good() {
    local version
    version=$(node --version 2>/dev/null) || return 1
    version=${version#v}
    [ "${version%%.*}" -ge 18 ] 2>/dev/null
}

need_node() {
    node_is_good || need_packages nodejs
    node_is_good || fail "Node.js 18 or newer is needed; this one is $(node --version)."
    command -v npm >/dev/null || need_packages npm
}

# The version of a package that a lock file pins, and the one that is installed.
locked_version() {
    sed -n "/\"node_modules\/$2\": {/,/}/s/.*\"version\": \"\([^\"]*\)\".*/\1/p" \
        "$1/package-lock.json" | head -n 1
}

installed_version() {
    sed -n 's/^ *"version": "\([^"]*\)".*/\1/p' \
        "$1/node_modules/$2/package.json" 2>/dev/null | head -n 1
}

# need_npm FOLDER "ci arguments" PACKAGE…: installs from the lock file unless the packages
# are there in the pinned version. Nothing that a package brings is run.
need_npm() {
    local folder=$1 arguments=$2 package
    shift 2
    for package in "$@"; do
        if [ "$(installed_version "$folder" "$package")" != \
            "$(locked_version "$folder" "$package")" ]; then
            need_node
            echo "installing npm packages" >&2
            # shellcheck disable=SC2086 # arguments is a list of words
            (cd "$folder" && quietly npm ci $arguments --ignore-scripts --no-audit \
                --no-fund --loglevel=error) ||
                fail "The npm packages could not be installed."
            return 0
        fi
    done
}

# build FOLDER "setup arguments" TARGET…: configures once, then builds; quiet unless it fails.
build() {
    local folder=$1 arguments=$2
    shift 2
    if [ ! -f "$folder/build.ninja" ]; then
        echo "building, this takes a minute" >&2
        # shellcheck disable=SC2086
        quietly meson setup $arguments "$folder" "$root" || return 1
    fi
    quietly ninja -C "$folder" "$@"
}

# A system user that nobody can log in as.
need_user() {
    id "$1" >/dev/null 2>&1 ||
        quietly useradd --system --user-group --no-create-home --home-dir "/var/lib/$1" \
            --shell /usr/sbin/nologin "$1" ||
        fail "The user $1 could not be made."
}

# give_data_folder USER PROGRAM OPTION…: makes the folder that the options or the file
# they name ask for, and gives it to the user. A folder of root's that holds anything but
# our data is left alone: it was named by mistake.
give_data_folder() {
    local user=$1 program=$2 data
    shift 2
    case ${1:-} in -* | "") ;; *) shift ;; esac # a command
    data=$("$program" print-config "$@") || exit
    data=$(sed -n 's/^data = //p' <<<"$data")
    (umask 022 && mkdir -p -- "$data") || fail "The data folder $data could not be made."
    data=$(readlink -f -- "$data")
    [ "$(stat -c %u -- "$data")" -eq 0 ] || return 0
    [ -e "$data/coilkeep.db" ] || [ -z "$(ls -A -- "$data")" ] ||
        fail "The data folder $data is root's and holds other things. Choose another with --data DIR."
    chown -R -h -- "$user:$(id -g "$user")" "$data"
}

# run_as USER PROGRAM OPTION…: root becomes the daemon with a user of its own and without
# any right of root's.
run_as() {
    local user=$1 program=$2
    shift 2
    case " $* " in *" --help "* | *" --version "*) exec "$program" "$@" ;; esac
    export HOME=/var/lib/coilkeep XDG_STATE_HOME=/var/lib
    give_data_folder "$user" "$program" "$@"
    # An open file, because the user may not be able to enter the folder that it lies in.
    exec 8<"$program"
    exec setpriv --reuid="$user" --regid="$(id -g "$user")" --clear-groups \
        --inh-caps=-all --bounding-set=-all --no-new-privs /proc/self/fd/8 "$@"
}
