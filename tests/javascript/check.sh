#!/usr/bin/env bash
# The scripts of the pages: linted, and their logic tested with Node's own runner. The linter is
# kept beside the tools of the other tests, in .venv.
set -euo pipefail
cd "$(dirname "$0")/../.."
here=tests/javascript
tools=.venv/javascript
if ! cmp -s "$here/package.json" "$tools/package.json"; then
    rm -rf "$tools"
    mkdir -p "$tools.new"
    cp "$here/package.json" "$tools.new"
    npm install --prefix "$tools.new" --no-package-lock --ignore-scripts --no-audit --no-fund --silent
    mv "$tools.new" "$tools"
fi
"$tools/node_modules/.bin/biome" lint --config-path="$here/lint.json" --error-on-warnings \
    stash/static projects/static "$here"
node --test --test-reporter=spec "$here"/*.test.mjs
