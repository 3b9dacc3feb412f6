#!/bin/sh
# Double-click: starts Clothlight and opens it in the browser. Closing the window ends it.
cd "$(dirname "$0")/.." || exit 1
for python in python3.14 python3.13 python3.12 python3.11 python3; do
    if command -v "$python" >/dev/null 2>&1; then
        exec "$python" manage.py serve --open "$@"
    fi
done
echo "Clothlight needs Python 3.11 to 3.14, and none was found. Install it, then start again."
printf "Press Return to close this window. "
read -r _
