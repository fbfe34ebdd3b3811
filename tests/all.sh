#!/usr/bin/env bash
# Runs every check of Flitchbook: bash tests/all.sh
# Needs Python 3.11+ and pip; makes its own environment in .venv. As root it may install Chromium
# through apt; apart from that nothing outside this folder is written. Ends with status 0 only when
# every step went well; a failed step does not keep the others from running.
#   PYTHON=python3.12 bash tests/all.sh       with another Python
#   bash tests/all.sh tests/wood -x           all checks, but only these tests
set -u -o pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
unset PYTHONPATH PYTHONHOME VIRTUAL_ENV
export PIP_DISABLE_PIP_VERSION_CHECK=1

shout() {
    printf '\n!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!\n' >&2
    printf '!!! %s\n' "$@" >&2
    printf '!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!!\n\n' >&2
}

# ------------------------------------------------------------------ environment

python="${PYTHON:-python3}"
if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
    shout "Flitchbook needs Python 3.11 or newer; '$python' is not one. Name one: PYTHON=... bash tests/all.sh"
    exit 1
fi

wanted="$("$python" -c 'import sys; print(sys.version)' | cat - pyproject.toml .ci/constraints.txt | sha256sum)"
stamp=.venv/.installed-from
if [ ! -x .venv/bin/pytest ] || [ "$(cat "$stamp" 2>/dev/null)" != "$wanted" ]; then
    echo "Making the environment .venv (a few minutes the first time) ..."
    # pip stays outside, so that a machine without python3-venv will do.
    if ! { "$python" -m venv --clear --without-pip .venv &&
        "$python" -m pip --python .venv/bin/python install -q -c .ci/constraints.txt -e ".[test]"; }; then
        shout "The environment could not be made; nothing was checked."
        exit 1
    fi
    echo "$wanted" >"$stamp"
fi
PATH="$PWD/.venv/bin:$PATH"
export PATH

# ------------------------------------------------------------------ browser

find_browser() { command -v chromium || command -v chromium-browser; }

missing=()
find_browser >/dev/null || missing+=(chromium fonts-dejavu-core)
# What drives the browser needs this library, which the smallest machines lack.
ldconfig -p 2>/dev/null | grep -q libatomic.so.1 || missing+=(libatomic1)
if [ "${#missing[@]}" -gt 0 ] && [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    echo "Installing what the browser tests need through apt: ${missing[*]} ..."
    { apt-get -qq update && DEBIAN_FRONTEND=noninteractive \
        apt-get -qq -y install --no-install-recommends "${missing[@]}"; } >/dev/null </dev/null
fi
browser="$(find_browser || true)"
no_browser="NO CHROMIUM: THE BROWSER TESTS DO NOT RUN. Install it (apt-get install chromium) and run again."
[ -n "$browser" ] || shout "$no_browser"

# ------------------------------------------------------------------ checks

names=()
results=()
failed=0
step() {
    local name="$1" start=$SECONDS result="ok"
    shift
    printf '\n=== %s: %s\n' "$name" "$*"
    "$@" || { result="FAILED (status $?)" && failed=1; }
    names+=("$name")
    results+=("$result, $((SECONDS - start)) s")
}

step "style" ruff check .
step "format" ruff format --check .
step "types" mypy
step "import rules" lint-imports --no-logo
step "template style" djlint webapp/templates --lint --check --quiet
step "spelling" codespell webapp seed_demo migrations tests README.md DEVELOPERS.md pyproject.toml
step "tests" pytest "$@" --cov --cov-branch

printf '\n=== All checks\n'
for index in "${!names[@]}"; do
    printf '%-16s %s\n' "${names[$index]}" "${results[$index]}"
done
printf '%-16s %s\n' "browser" "${browser:-none}"
[ -n "$browser" ] || shout "$no_browser"
if [ "$failed" != 0 ]; then
    echo "SOMETHING FAILED: see above."
elif [ -z "$browser" ]; then
    echo "What ran went well; the browser tests did not run."
else
    echo "Everything went well."
fi
exit "$failed"
