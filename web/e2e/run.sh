#!/bin/bash
# The browser tests: the built program, the distribution's own browser.
set -e
cd "$(dirname "$0")"
if [ ! -x "${CHROMIUM:-/usr/bin/chromium}" ]; then
  echo "the browser tests did not run: no browser at ${CHROMIUM:-/usr/bin/chromium} (make tools installs one)"
  [ -z "$CI" ]
  exit
fi
[ node_modules/.installed -nt package-lock.json ] || { npm ci --silent; touch node_modules/.installed; }
exec npm test --silent
