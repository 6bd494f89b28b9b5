#!/bin/sh
# Build three.min.js again from the npm packages of the versions below, and compare it with the one that is kept here.
# Needs node and npm. With "keep" as first word the new bundle replaces the old one, and three.json is written anew.
set -eu
three=0.187.0
esbuild=0.28.2
here="$(cd "$(dirname "$0")" && pwd)"
work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
cd "$work"
npm init -y >/dev/null
npm install --no-audit --no-fund "three@$three" "esbuild@$esbuild"
cp "$here/entry.js" .
node_modules/.bin/esbuild entry.js --bundle --minify --format=iife --global-name=THREE --target=es2020 --legal-comments=inline \
    --outfile=three.min.js
digest="$(sha256sum three.min.js | cut -d' ' -f1)"
if [ "${1:-}" = keep ]; then
    cp three.min.js "$here/three.min.js"
    cp node_modules/three/LICENSE "$here/LICENSE"
    printf '{\n "name": "three",\n "version": "%s",\n "licence": "MIT",\n "built_with": "esbuild %s",\n "sha256": "%s"\n}\n' \
        "$three" "$esbuild" "$digest" >"$here/three.json"
elif cmp three.min.js "$here/three.min.js"; then
    echo "the bundle is what three $three and esbuild $esbuild make: $digest"
else
    exit 1
fi
